"""Makes the zoo: records of one small invented dive, sound ones and one for each way to be wrong.

    python tests/record/zoo/zoo.py

writes the files beside it again, byte for byte: the keys stand in keys/, under the passphrase below, and are
good for nothing else; no chance enters an Ed25519 signature. What a file is named for is wrong with it and,
as far as one flaw allows, nothing else.
"""

import re
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, Final

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.hazmat.primitives.serialization import load_ssh_private_key
from zoo_dive import body, entries, journal

from station.record import keys, signers, sshsig
from station.record.signed import Addendum, Statement, block_bytes, segment_bytes
from station.record.wire import fingerprint, typed

PASSPHRASE: Final = "for tests of records only"
HERE: Final = Path(__file__).parent
CLOSED: Final = datetime(2031, 9, 2, 10, 1, 5, tzinfo=UTC)
AT: Final = CLOSED + timedelta(minutes=4)


def _key(name: str) -> keys.SigningKey:
    private = load_ssh_private_key((HERE / "keys" / name).read_bytes(), PASSPHRASE.encode())
    assert isinstance(private, Ed25519PrivateKey)
    return keys.SigningKey(private, typed(private.public_key().public_bytes_raw()))


MIRA, JON, OLA = _key("mira-holt"), _key("jon-ek"), _key("ola-quist")


def allowed_signers() -> bytes:
    """Return the list: two who may sign, one with a date; Ola Quist signs for nobody."""
    lines = (
        signers.signer(
            "mira-holt", ("supervisor",), MIRA.blob, AT - timedelta(days=99), AT + timedelta(days=99)
        ),
        signers.signer("jon-ek", ("timekeeper", "diver"), JON.blob),
    )
    return b"# Keys of the tests.\n" + b"".join(f"{line.line()}\n".encode() for line in lines)


_WHO: Final = {
    "supervisor": ("mira-holt", "Mira Holt", MIRA),
    "timekeeper": ("jon-ek", "Jon Ek", JON),
    "diver": ("jon-ek", "Jon Ek", JON),
    "stranger": ("mira-holt", "Mira Holt", OLA),
}


def said(who: str, **changes: Any) -> Statement:
    """Return the statement of somebody, with some of its fields changed."""
    person, name, key = _WHO[who]
    role = "supervisor" if who == "stranger" else who
    fields = {"person": person, "name": name, "role": role, "at": AT, "meaning": "It is so.", "drill": False}
    return Statement(**{**fields, "key": fingerprint(key.blob), **changes})


def under(
    data: bytes, who: str, *addenda: Addendum, key: keys.SigningKey | None = None, **changes: Any
) -> bytes:
    """Return the record with a statement and a signature that holds, whatever they say and whatever it is."""
    covered = data + segment_bytes(said(who, **changes), addenda)
    return covered + block_bytes(sshsig.sign(key or _WHO[who][2], covered))


def both(data: bytes) -> bytes:
    """Return a body signed by both who must."""
    return under(under(data, "timekeeper"), "supervisor")


def more(by: str = "mira-holt") -> Addendum:
    """Return a correction."""
    at = AT + timedelta(days=1)
    return Addendum(corrects="conditions.surface", text="light wind", reason="Misheard.", by=by, at=at)


def hashed_with_sha256(data: bytes) -> bytes:
    """Return the record with a signature that hashes by the other hash of the format."""
    covered = data + segment_bytes(said("supervisor"))
    wrapped = sshsig._to_be_signed(sshsig.NAMESPACE.encode(), b"sha256", covered)
    value = sshsig.Signature(MIRA.blob, sshsig.NAMESPACE.encode(), b"sha256", MIRA.sign_bytes(wrapped))
    return covered + block_bytes(sshsig.armored(value))


def flipped(data: bytes, words: bytes, bit: int = 1) -> bytes:
    """Return the record with one bit of the last byte of these words changed."""
    at = data.index(words) + len(words) - 1
    return data[:at] + bytes([data[at] ^ bit]) + data[at + 1 :]


def swapped(data: bytes, first: bytes) -> bytes:
    """Return the record with the line that begins so and the one after it exchanged."""
    lines = data.splitlines(keepends=True)
    at = next(number for number, line in enumerate(lines) if line.startswith(first))
    return b"".join([*lines[:at], lines[at + 1], lines[at], *lines[at + 2 :]])


def sound() -> dict[str, bytes]:
    """Return the records that nothing is wrong with."""
    plain = body()
    drill = body(
        [entries()[0].replace('"drill":false', '"drill":true'), *entries()[1:]],
        ("drill = false", "drill = true"),
    )
    added = under(both(plain), "supervisor", more(), at=AT + timedelta(days=1))
    return {
        "sound": both(plain),
        "sound-supervisor-first": under(under(plain, "supervisor"), "timekeeper"),
        "sound-diver-too": under(both(plain), "diver"),
        "sound-addendum": under(added, "timekeeper", at=AT + timedelta(days=2)),
        "sound-sha256": hashed_with_sha256(under(plain, "timekeeper")),
        "sound-drill": under(under(drill, "timekeeper", drill=True), "supervisor", drill=True),
    }


def changed_bytes() -> dict[str, bytes]:
    """Return records whose bytes were changed after signing."""
    one, two = under(body(), "timekeeper"), both(body())
    other = both(body(entries("choppy")))
    block = two[two.rindex(b"[[signature]]") :]
    return {
        "byte-flipped-in-body": flipped(two, b"bottom_time_min = 25"),
        "byte-flipped-in-statement": flipped(two, b'[[statement]]\nperson = "mira-h', 2),
        "byte-flipped-in-signature": flipped(
            two, b"-----BEGIN SSH SIGNATURE-----\nU1NIU0lHAAAAAQAAADMAAAALc3NoLWVkMjU1MTk", 1
        ),
        "cut-in-body": two[: two.index(b"[signing]")],
        "cut-in-statement": two[: two.rindex(b"meaning")],
        "cut-in-signature": two[:-60],
        "cut-before-last-newline": two[:-1],
        "cut-after-first-signature": one,
        "lines-swapped": swapped(two, b"visibility"),
        "signature-of-another-record": two[: -len(block)] + other[other.rindex(b"[[signature]]") :],
        "signatures-swapped": body() + two[len(one) :] + one[len(body()) :],
        "signature-twice": two + two[len(one) :],
        "signature-rewrapped": re.sub(rb"(SIGNATURE-----\nU1NI)", rb"\1\n", two, count=1),
        "crlf": two.replace(b"\n", b"\r\n"),
        "carriage-return": two.replace(b"Weir Reach", b"Weir\rReach", 1),
        "trailing-text": two + b"# seen and filed\n",
        "trailing-line-end": two + b"\n",
        "trailing-key": two + b"x = 1\n",
        "byte-order-mark": b"\xef\xbb\xbf" + two,
        "not-utf-8": two.replace(b"2 ft", b"2 f\xff", 1),
        "addendum-unsigned": two
        + segment_bytes(said("supervisor"), [more()])[: -len(segment_bytes(said("supervisor")))],
        "statement-unsigned": two + segment_bytes(said("diver")),
        "empty": b"",
        "other-text": b"Minutes of the meeting of the second of September.\n",
        "newer-format": two.replace(b"format = 1", b"format = 2"),
        "format-zero": two.replace(b"format = 1", b"format = 0"),
    }


def wrong_when_signed() -> dict[str, bytes]:
    """Return records whose signatures hold, and that are wrong all the same."""
    plain, rows = body(), entries()
    one = under(plain, "timekeeper")
    covered = one + segment_bytes(said("supervisor"))
    early = body(None, ("closed = 2031-09-02", "closed = 2031-01-02"))
    altered = entries("choppy, wind against the current")
    unchained = body(None, ('2031-09-02T09:24:30.000Z","by', '2031-09-02T09:24:31.000Z","by'))
    head = re.search(rb'head_hash = "(\w{8})', plain)
    assert head is not None
    return {
        "wrong-namespace": covered + block_bytes(sshsig.sign(MIRA, covered, "git")),
        "signer-unlisted": under(one, "stranger"),
        "role-unlisted": under(under(plain, "supervisor"), "supervisor", role="timekeeper"),
        "key-expired": under(one, "supervisor", at=AT + timedelta(days=100)),
        "key-not-yet-valid": under(under(early, "timekeeper"), "supervisor", at=AT - timedelta(days=200)),
        "statement-names-another-key": under(one, "supervisor", key=JON),
        "role-missing": under(plain, "supervisor"),
        "not-signed": plain,
        "drill-contradicts": under(one, "supervisor", drill=True),
        "dated-before-the-closing": under(one, "supervisor", at=CLOSED - timedelta(hours=1)),
        "addendum-by-another": under(both(plain), "supervisor", more("jon-ek")),
        "addendum-before-signatures": under(under(plain, "timekeeper", more("jon-ek")), "supervisor"),
        "two-statements": (two := one + segment_bytes(said("diver")) + segment_bytes(said("supervisor")))
        + block_bytes(sshsig.sign(MIRA, two)),
        "no-statement": one + block_bytes(sshsig.sign(MIRA, one)),
        "chain-broken": both(unchained),
        "chain-head-wrong": both(plain.replace(head[0], b'head_hash = "00000000')),
        "entry-altered-signed-by-stranger": under(under(body(altered), "timekeeper"), "stranger"),
        "entry-left-out": both(body(None, *[(line + "\n", "") for line in journal(rows).split("\n")[9:10]])),
        "bottom-time-not-of-marks": both(body(None, ("bottom_time_min = 25", "bottom_time_min = 24"))),
        "mark-not-in-journal": both(body(None, ("at = 2031-09-02T09:24:30", "at = 2031-09-02T09:23:30"))),
        "closing-missing": both(body(rows[:-1])),
        "drill-called-a-dive": both(body([rows[0].replace('"drill":false', '"drill":true'), *rows[1:]])),
        "field-of-the-law-missing": both(body(None, ('visibility = "2 ft"\n', ""))),
        "nobody-required": both(body(None, ('["timekeeper", "supervisor"]\n', "[]\n"))),
        "not-toml": both(body(None, ("lane = 1\n", "lane 1\n"))),
    }


def zoo() -> dict[str, bytes]:
    """Return every record by the name of its file."""
    return {
        f"{name}.toml": data for name, data in {**sound(), **changed_bytes(), **wrong_when_signed()}.items()
    }


def main() -> None:
    """Write the files."""
    (HERE / "allowed_signers").write_bytes(allowed_signers())
    for name, data in zoo().items():
        (HERE / name).write_bytes(data)


if __name__ == "__main__":
    main()
