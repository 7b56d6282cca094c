"""Every way a record can be wrong: never called sound, and said in its own sentence."""

import re
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from station.errors import FileError
from station.moments import iso
from station.record import keys, signed, signing, sshsig, wire
from station.record.report import report
from station.record.signed import Declaration
from station.record.signers import AllowedSigners, signer
from station.record.verify import Status, verify_bytes, verify_file

BODY = b'[record]\nformat = 1\ndrill = false\n\n[signing]\nrequired = ["timekeeper", "supervisor"]\n'
MIRA, JON = keys.new_key(), keys.new_key()
AT = datetime(2031, 5, 4, 9, 15, 30, 250000, tzinfo=UTC)
SUPERVISOR = Declaration(
    person="mira-holt", name="Mira Holt", role="supervisor", at=AT, meaning="It is true."
)
TIMEKEEPER = Declaration(
    person="jon-ek", name="Jon Ek", role="timekeeper", at=AT, meaning="I kept the times."
)
ONE = signing.add_signature(BODY, SUPERVISOR, MIRA)
TWO = signing.add_signature(ONE, TIMEKEEPER, JON)
SIGNERS = AllowedSigners((signer("mira-holt", ("supervisor",), MIRA.blob), signer("jon-ek", (), JON.blob)))


def with_signature(data: bytes, namespace: str = sshsig.NAMESPACE) -> bytes:
    """Return the bytes with a signature that holds, whatever they are."""
    return data + signed.block_bytes(sshsig.sign(MIRA, data, namespace))


def segment(**changes: Any) -> bytes:
    fields = {**dict(SUPERVISOR), "key": MIRA.fingerprint, "drill": False, **changes}
    return signed.segment_bytes(signed.Statement(**fields))


def test_a_sound_record_names_its_signers() -> None:
    verdict = verify_bytes(TWO, SIGNERS)
    assert verdict.sound
    assert verdict.problem == ""
    assert [(one.who, one.listed, one.statement.at) for one in verdict.signatures] == [
        ("mira-holt:supervisor", True, AT),
        ("jon-ek:timekeeper", True, AT),
    ]
    assert report(verdict, "x.toml").splitlines() == [
        "x.toml: sound",
        f"  1. Mira Holt (mira-holt) as supervisor, {iso(AT)}, {MIRA.fingerprint}, on the list",
        f"  2. Jon Ek (jon-ek) as timekeeper, {iso(AT)}, {JON.fingerprint}, on the list",
    ]


def test_without_a_list_the_report_says_what_was_not_shown() -> None:
    verdict = verify_bytes(TWO)
    assert verdict.sound
    assert [one.listed for one in verdict.signatures] == [None, None]
    assert "which keys signed, not whose they are" in report(verdict, "x.toml")


def test_a_drill_is_named_in_the_report() -> None:
    data = signing.add_signature(BODY.replace(b"false", b"true"), SUPERVISOR, MIRA)
    assert report(verify_bytes(data), "x.toml").startswith("x.toml (DRILL): not yet signed\n")


BROKEN_TABLE = BODY + b"x\n"
STATUS_AND_SENTENCE: dict[str, tuple[bytes, Status, str]] = {
    "nothing": (b"", Status.NOT_A_RECORD, "it is empty"),
    "other text": (b"hello\n", Status.NOT_A_RECORD, "does not begin with the lines"),
    "other bytes": (b"\xff\xfe\0", Status.NOT_A_RECORD, "byte 1 is not UTF-8"),
    "byte order mark": (b"\xef\xbb\xbf" + TWO, Status.ALTERED, "byte order mark"),
    "crlf": (TWO.replace(b"\n", b"\r\n"), Status.ALTERED, "line 1 holds a carriage return"),
    "one cr": (TWO.replace(b"true.", b"true\r"), Status.ALTERED, "line 12 holds a carriage return"),
    "not utf-8": (TWO.replace(b"true.", b"true\xff"), Status.ALTERED, "byte .* is not UTF-8"),
    "opening": (TWO.replace(b"[record]", b"[recorb]"), Status.ALTERED, "does not begin with the lines"),
    "newer": (
        TWO.replace(b"format = 1", b"format = 2"),
        Status.NEWER,
        "format 2, and this program .* up to 1",
    ),
    "format 0": (TWO.replace(b"format = 1", b"format = 0"), Status.ALTERED, "format 0, which never was"),
    "not signed": (BODY, Status.UNSIGNED, "not yet signed by: timekeeper, supervisor"),
    "one missing": (ONE, Status.UNSIGNED, "not yet signed by: timekeeper$"),
    "stray statement": (BODY + segment(), Status.UNSIGNED, "not yet signed by: timekeeper, supervisor"),
    "text after": (TWO + b"\n", Status.ALTERED, "follows the last signature, from line 45 on, is not signed"),
    "table after": (TWO + b'[x]\ny = "z"\n', Status.ALTERED, "from line 45 on, is not signed"),
    "addendum after": (TWO + b'\n[[addendum]]\ntext = "z"\n', Status.ALTERED, "from line 45 on"),
    "statement after": (TWO + segment(), Status.ALTERED, "from line 45 on"),
    "no last newline": (TWO[:-1], Status.ALTERED, r"signature 2 \(line 36\) is not written as"),
    "key in signature": (TWO + b"x = 1\n", Status.ALTERED, "from line 45 on"),
    "rewrapped": (TWO.replace(b"U1NIU0lH", b"U1NIU0l\nH", 1), Status.ALTERED, "the one way"),
    "body changed": (TWO.replace(b"required", b"requires"), Status.ALTERED, "signature 1 .* lines 1 to 16"),
    "first said": (TWO.replace(b"It is true", b"It is trua"), Status.ALTERED, "signature 1 .* lines 1 to 16"),
    "second said": (TWO.replace(b"I kept", b"I keep"), Status.ALTERED, "signature 2 .* lines 26 to 35"),
    "namespace": (
        with_signature(ONE + segment(), "git"),
        Status.ALTERED,
        "signature 2 was made for 'git', not",
    ),
    "no statement": (with_signature(BODY), Status.ALTERED, "signature 1 has no statement"),
    "two statements": (with_signature(BODY + segment() * 2), Status.ALTERED, "before signature 1: statement"),
    "other key": (
        with_signature(BODY + segment(key=JON.fingerprint)),
        Status.ALTERED,
        "statement 1 names key",
    ),
    "other drill": (with_signature(BODY + segment(drill=True)), Status.ALTERED, "no drill, but statement 1"),
    "unknown word": (
        with_signature(BODY + segment().rstrip() + b"\nx = 1\n"),
        Status.ALTERED,
        r"statement\[1\]\.x: unknown key",
    ),
    "no zone": (
        with_signature(BODY + segment().replace(b"250Z", b"250")),
        Status.ALTERED,
        r"statement\[1\]\.at: a time needs its zone",
    ),
    "foreign table": (with_signature(BODY + segment() + b"[x]\ny = 1\n"), Status.ALTERED, "x: unknown key"),
    "key slips": (
        with_signature(ONE + b"value = 1\n" + segment()),
        Status.ALTERED,
        "2 has no statement of its own",
    ),
    "not toml": (with_signature(BROKEN_TABLE + segment()), Status.ALTERED, "the body is not valid TOML"),
    "deep": (
        with_signature(BODY + b"x = " + b"[" * 9999 + segment()),
        Status.ALTERED,
        "the body (cannot|is not)",
    ),
    "long number": (
        with_signature(BODY + b"x = " + b"9" * 5000 + segment()),
        Status.ALTERED,
        "the body (cannot|is)",
    ),
    "no signing": (
        with_signature(b"[record]\nformat = 1\ndrill = false\n" + segment()),
        Status.ALTERED,
        r"no table \[signing\]",
    ),
    "nobody required": (
        with_signature(re.sub(rb"\[\"timekeeper.*", b"[]", BODY) + segment()),
        Status.ALTERED,
        r"signing\.required is not right",
    ),
    "drill unsaid": (
        with_signature(BODY.replace(b"drill = false\n", b"") + segment()),
        Status.ALTERED,
        r"record\.drill is not right: field required",
    ),
    "statement in body": (
        with_signature(BODY + b"[statement]\nx = 1\n" + segment()),
        Status.ALTERED,
        "the body holds a key 'statement'",
    ),
    "half a block": (
        BODY + segment() + b"[[signature]]\n",
        Status.ALTERED,
        "signature 1 .* is not written as",
    ),
}


@pytest.mark.parametrize(
    ("data", "status", "sentence"), STATUS_AND_SENTENCE.values(), ids=STATUS_AND_SENTENCE.keys()
)
def test_each_flaw_has_its_status_and_its_sentence(data: bytes, status: Status, sentence: str) -> None:
    verdict = verify_bytes(data, SIGNERS)
    assert verdict.status is status, verdict
    assert re.search(sentence, verdict.problem), verdict.problem
    assert verdict.problem in report(verdict, "x.toml")


def test_the_sentences_tell_the_flaws_apart() -> None:
    sentences = {verify_bytes(data, SIGNERS).problem for data, _, _ in STATUS_AND_SENTENCE.values()}
    assert len(sentences) > 30


def test_the_altered_range_is_the_narrowest_that_signatures_can_tell() -> None:
    first_end, second_start = len(ONE), TWO.index(b"[[signature]]", len(ONE))
    for at in (first_end, second_start - 2):
        changed = bytearray(TWO)
        changed[at] ^= 1
        verdict = verify_bytes(bytes(changed))
        assert verdict.altered == (first_end, len(TWO))
        assert [one.who for one in verdict.signatures] == ["mira-holt:supervisor"]
    assert verify_bytes(TWO.replace(b"required", b"requires")).altered == (0, len(ONE))
    trailing = verify_bytes(TWO + b"x")
    assert trailing.altered == (len(TWO), len(TWO) + 1)
    assert [one.number for one in trailing.signatures] == [1, 2]


def test_any_bit_of_any_byte_changed_is_never_sound() -> None:
    """All of a complete record with two signatures, every byte in every bit."""
    for at in range(len(TWO)):
        for bit in range(8):
            changed = bytearray(TWO)
            changed[at] ^= 1 << bit
            verdict = verify_bytes(bytes(changed), SIGNERS)
            assert not verdict.sound, (at, bit)
            assert verdict.problem, (at, bit)


def test_cut_at_any_length_is_never_sound_and_never_a_stranger() -> None:
    """A record cut between its parts says who has not signed; cut inside one it is damaged."""
    for length in range(len(TWO)):
        verdict = verify_bytes(TWO[:length], SIGNERS)
        assert verdict.status in {Status.UNSIGNED, Status.ALTERED, Status.NOT_A_RECORD}, length
        assert verdict.status is not Status.NOT_A_RECORD or length < len(b"[record]"), length
    assert verify_bytes(TWO[: len(ONE)]).missing == ("timekeeper",)


def test_lines_swapped_or_left_out_are_never_sound() -> None:
    lines = TWO.splitlines(keepends=True)
    for at in range(len(lines) - 1):
        swapped = [*lines[:at], lines[at + 1], lines[at], *lines[at + 2 :]]
        if swapped != lines:
            assert not verify_bytes(b"".join(swapped), SIGNERS).sound, at
        assert not verify_bytes(b"".join(lines[:at] + lines[at + 1 :]), SIGNERS).sound, at
        assert not verify_bytes(b"".join([*lines[: at + 1], *lines[at:]]), SIGNERS).sound, at


def test_a_signature_moved_from_another_record_is_refused() -> None:
    other = signing.add_signature(BODY.replace(b"\n\n", b"\nnumber = 2\n\n"), SUPERVISOR, MIRA)
    moved = BODY + other[other.index(b"\n[[statement]]") :]
    assert "signature 1 does not match" in verify_bytes(moved).problem
    twice = TWO + TWO[len(ONE) :]
    assert "signature 3 does not match" in verify_bytes(twice).problem
    first, second = ONE[len(BODY) :], TWO[len(ONE) :]
    assert "signature 1 does not match" in verify_bytes(BODY + second + first).problem


def test_a_signature_replaced_by_that_of_another_key_is_refused() -> None:
    """The key named in the statement is what binds person and signature."""
    data = BODY + segment()
    replaced = data + signed.block_bytes(sshsig.sign(JON, data))
    verdict = verify_bytes(replaced)
    assert verdict.problem == f"statement 1 names key {MIRA.fingerprint}, but {JON.fingerprint} signed"


@pytest.mark.parametrize(
    ("line", "why"),
    [
        (None, "is not on the list of allowed signers"),
        (signer("mira-holt", ("timekeeper",), MIRA.blob), "may sign as mira-holt:timekeeper, not as"),
        (signer("jon-ek", (), MIRA.blob), r"may sign as jon-ek:\*, not as mira-holt:supervisor"),
        (signer("mira-holt", (), MIRA.blob, AT + timedelta(days=1)), "is not valid before 20310505"),
        (signer("mira-holt", (), MIRA.blob, None, AT - timedelta(days=1)), "is not valid after 20310503"),
    ],
    ids=["absent", "other role", "other person", "too early", "too late"],
)
def test_a_signer_not_listed_is_named_with_the_reason(line: Any, why: str) -> None:
    listed = AllowedSigners((signer("jon-ek", (), JON.blob), *([line] if line else [])))
    verdict = verify_bytes(TWO, listed)
    assert verdict.status is Status.UNLISTED
    assert re.search(f"signature 1, mira-holt:supervisor, 2031-05-04T09:15:30.250Z: .*{why}", verdict.problem)
    assert [one.listed for one in verdict.signatures] == [False, True]
    assert "NOT ON THE LIST" in report(verdict, "x.toml")


def test_a_record_stays_sound_when_its_signer_has_left() -> None:
    """Dates are judged at the statement's time: a year later the same list gives the same verdict."""
    lines = (
        signer("mira-holt", (), MIRA.blob, AT - timedelta(days=1), AT),
        signer("jon-ek", (), JON.blob, AT.replace(microsecond=0), None),
    )
    assert verify_bytes(TWO, AllowedSigners(lines)).sound


def test_checks_of_the_content_are_made_on_the_body() -> None:
    seen: list[Mapping[str, Any]] = []

    def check(document: Mapping[str, Any]) -> str | None:
        seen.append(document)
        return "entry 7 does not follow from entry 6" if len(seen) > 1 else None

    assert verify_bytes(TWO, SIGNERS, [check]).sound
    assert seen[0]["record"] == {"format": 1, "drill": False}
    verdict = verify_bytes(TWO, SIGNERS, [check])
    assert (verdict.status, verdict.problem) == (Status.ALTERED, "entry 7 does not follow from entry 6")


def test_content_is_not_believed_before_the_signatures_hold() -> None:
    def never(_: Mapping[str, Any]) -> str | None:
        raise AssertionError

    assert "signature 1" in verify_bytes(TWO.replace(b"required", b"requires"), None, [never]).problem


def test_a_role_may_be_signed_by_a_key_that_hashes_with_sha256() -> None:
    """PROTOCOL.sshsig knows two hashes; ssh-keygen signs with either."""
    data = BODY.replace(b'"timekeeper", ', b"") + segment()
    wrapped = sshsig._to_be_signed(sshsig.NAMESPACE.encode(), b"sha256", data)
    signature = sshsig.Signature(MIRA.blob, sshsig.NAMESPACE.encode(), b"sha256", MIRA.sign_bytes(wrapped))
    assert verify_bytes(data + signed.block_bytes(sshsig.armored(signature))).sound


@settings(max_examples=150, derandomize=True, deadline=None)
@given(st.binary(max_size=80), st.integers(0, len(TWO)), st.integers(0, 40))
def test_whatever_is_put_in_or_taken_out_is_never_sound(put: bytes, at: int, gone: int) -> None:
    changed = TWO[:at] + put + TWO[at + gone :]
    verdict = verify_bytes(changed, SIGNERS)
    assert verdict.sound is (changed == TWO)


@settings(max_examples=150, derandomize=True, deadline=None)
@given(st.binary(max_size=200))
def test_any_bytes_get_a_verdict(data: bytes) -> None:
    for content in (data, BODY + data, with_signature(BODY + data), ONE + data):
        verdict = verify_bytes(content)
        assert not verdict.sound
        assert verdict.problem


def test_a_file_is_verified_and_a_missing_one_said(tmp_path: Path) -> None:
    path = tmp_path / "x.toml"
    path.write_bytes(TWO)
    assert verify_file(path, SIGNERS).sound
    with pytest.raises(FileError, match="no such file"):
        verify_file(tmp_path / "absent")


def test_keys_of_the_test_are_not_the_same() -> None:
    """The tests above tell two people apart only if their keys differ."""
    assert wire.fingerprint(MIRA.blob) != wire.fingerprint(JON.blob)
