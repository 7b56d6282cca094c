"""Is a record sound, and if not, what is the first thing wrong with it?

The steps, in the order they are taken. Bytes come first and their meaning after, so a record is never
believed before its signatures hold, and a damaged one is called damaged even when it no longer reads as TOML.

1. The text: UTF-8, lines ended by LF alone, no byte order mark, the two opening lines of a record.
2. The version is one this program knows.
3. The layout: signatures written as signatures are.
4. Each signature, from the first: for our namespace, holding for every byte before it, and with a
   statement of its own that names the key that signed; an addendum is signed by its author.
5. Nothing stands after the last signature.
6. The body: TOML, naming the roles that must sign; every statement agrees whether it was a drill, and is not
   dated before the dive was closed: a key that has run out since cannot sign with a time of its own choice.
7. Checks of the content, given by whoever knows it.
8. Each signer is on the list of allowed signers, as what they signed and at that time, if a list is given.
9. Every role that must sign has signed.
"""

import hashlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any, Final, NoReturn

from station.errors import FileError, RecordError
from station.files import load, parse_toml, read_bytes
from station.moments import iso
from station.record import signed, sshsig
from station.record.opening import Flaw, Status, check_text, check_version
from station.record.signers import AllowedSigners, identity
from station.record.wire import fingerprint

__all__ = ["ContentCheck", "Signed", "Status", "Verdict", "verify_bytes", "verify_file"]

ContentCheck = Callable[[Mapping[str, Any]], str | None]
"""Takes the body, returns what is wrong with it in one sentence, or None."""

_NAME: Final = "record"


@dataclass(frozen=True)
class Signed:
    """A signature that holds, with its statement."""

    number: int
    statement: signed.Statement
    addenda: tuple[signed.Addendum, ...]
    key: bytes
    end_line: int
    """The last line of the signature: the record up to here verifies by itself."""
    listed: bool | None = None
    """Whether the signer is on the list; None when no list was given."""

    @property
    def who(self) -> str:
        """The identity signed under, PERSON:ROLE."""
        return identity(self.statement.person, self.statement.role)


@dataclass(frozen=True)
class Verdict:
    """The outcome: `problem` is the first thing wrong, "" for a sound record.

    `signatures` are those that hold, up to the first problem. `altered` is the narrowest range of bytes
    (first, one past the last) that is known to hold a change, where a signature can tell.
    """

    status: Status
    problem: str
    sha256: str
    signatures: tuple[Signed, ...] = ()
    missing: tuple[str, ...] = ()
    drill: bool | None = None
    altered: tuple[int, int] | None = None

    @property
    def sound(self) -> bool:
        """Whether nothing is wrong."""
        return self.status is Status.SOUND


def verify_file(
    path: Path, signers: AllowedSigners | None = None, content_checks: Sequence[ContentCheck] = ()
) -> Verdict:
    """Return the verdict on a file; FileError when it cannot be read."""
    return verify_bytes(read_bytes(path), signers, content_checks)


def verify_bytes(
    data: bytes,
    signers: AllowedSigners | None = None,
    content_checks: Sequence[ContentCheck] = (),
    read_before: Mapping[str, Any] | None = None,
) -> Verdict:
    """Return the verdict on a record's bytes. Needs no journal, no network and no terminal.

    `read_before`: the body as it was read from these very bytes before, at least its tables [record] and
    [signing]; then it is not read as TOML once more.
    """
    sha256 = hashlib.sha256(data).hexdigest()
    held: list[Signed] = []
    head: signed.Head | None = None
    missing: tuple[str, ...] = ()
    try:
        check_text(data)
        check_version(data)
        layout = _layout(data)
        digests = sshsig.Digests(data)
        while len(held) < len(layout.parts):
            held.append(_signature(data, layout, held, digests))
        _check_end(data, layout)
        document = _body(layout.body) if read_before is None else read_before
        head = _head(document)
        missing = _missing(head, held)
        _check_drill(head, held)
        _check_times(document, held)
        _check_content(document, content_checks)
        if signers is not None:
            held = [_judged(one, signers) for one in held]
            _check_listed(held, signers)
        _check_complete(missing)
    except Flaw as flaw:
        drill = head.record.drill if head else None
        return Verdict(flaw.status, flaw.sentence, sha256, tuple(held), missing, drill, flaw.altered)
    return Verdict(Status.SOUND, "", sha256, tuple(held), (), head.record.drill)


def _layout(data: bytes) -> signed.Layout:
    try:
        return signed.split(data)
    except RecordError as error:
        raise Flaw(Status.ALTERED, error.message) from None


def _check_end(data: bytes, layout: signed.Layout) -> None:
    if layout.parts and layout.rest:
        start = layout.parts[-1].end
        raise Flaw(
            Status.ALTERED,
            f"what follows the last signature, from line {signed.line_of(data, start)} on, is not signed",
            (start, len(data)),
        )


def _signature(data: bytes, layout: signed.Layout, held: Sequence[Signed], digests: sshsig.Digests) -> Signed:
    """Return the next signature, after those that hold; each byte is hashed, and each line counted, once."""
    number = len(held) + 1
    part = layout.parts[number - 1]
    try:
        signature = sshsig.read(part.armor)
    except RecordError as error:
        raise Flaw(Status.ALTERED, f"signature {number} {error.message}") from None
    if signature.namespace != sshsig.NAMESPACE.encode():
        space = signature.namespace.decode("ascii", "backslashreplace")
        raise Flaw(
            Status.ALTERED,
            f"signature {number} was made for '{space}', not for a dive record ({sshsig.NAMESPACE})",
        )
    if not sshsig.holds_for(signature, digests.up_to(part.header, signature.hash_name)):
        _raise_mismatch(data, layout, number)
    segment = _segment(part.segment, number)
    statement = segment.statement[0]
    if statement.key != fingerprint(signature.key):
        raise Flaw(
            Status.ALTERED,
            f"statement {number} names key {statement.key}, but {fingerprint(signature.key)} signed",
        )
    _check_addenda(segment.addendum, statement, number)
    before, start = (held[-1].end_line, layout.parts[number - 2].end) if held else (0, 0)
    end_line = before + data.count(b"\n", start, part.end)
    return Signed(number, statement, segment.addendum, signature.key, end_line)


def _check_addenda(addenda: Sequence[signed.Addendum], statement: signed.Statement, number: int) -> None:
    """A correction is of what was signed before, and its author is the one who signs it."""
    if addenda and number == 1:
        raise Flaw(Status.ALTERED, "an addendum stands before the first signature, where nothing was signed")
    for one in addenda:
        if one.by != statement.person:
            raise Flaw(
                Status.ALTERED,
                f"the addendum to {one.corrects} is said to be by {one.by}, "
                f"but {statement.person} signed it (signature {number})",
            )


def _raise_mismatch(data: bytes, layout: signed.Layout, number: int) -> NoReturn:
    """Say where a byte was changed: after the last signature that held, before the first that does not."""
    start, end = signed.new_bytes(layout)[number - 1]
    first, last = signed.line_of(data, start), signed.line_of(data, end) - 1
    raise Flaw(
        Status.ALTERED,
        f"signature {number} does not match: something in lines {first} to {last} was changed, "
        "or the signature itself, or it was made for another file",
        (start, layout.parts[number - 1].end),
    )


def _segment(segment: bytes, number: int) -> signed.Segment:
    if not signed.opens_with_part(segment):
        raise Flaw(Status.ALTERED, f"signature {number} has no statement of its own before it")
    if segment.count(b"\n[[statement]]\n") > 1:
        raise Flaw(Status.ALTERED, f"signature {number} has more than one statement before it")
    try:
        return load(segment, f"the part before signature {number}", signed.Segment)
    except FileError as error:
        raise Flaw(Status.ALTERED, str(error).split("\n", maxsplit=1)[0]) from None
    except (ValueError, RecursionError):
        raise Flaw(Status.ALTERED, f"the part before signature {number} cannot be read as TOML") from None


def _body(body: bytes) -> dict[str, Any]:
    try:
        return parse_toml(body, _NAME)
    except FileError as error:
        raise Flaw(Status.ALTERED, f"the body is {error.problems[0][1]}") from None
    except (ValueError, RecursionError):
        raise Flaw(Status.ALTERED, "the body cannot be read as TOML") from None


def _head(document: Mapping[str, Any]) -> signed.Head:
    try:
        return signed.read_head(document)
    except RecordError as error:
        raise Flaw(Status.ALTERED, error.message) from None


def _missing(head: signed.Head, held: Sequence[Signed]) -> tuple[str, ...]:
    done = {one.statement.role for one in held}
    return tuple(role for role in head.signing.required if role not in done)


def _check_drill(head: signed.Head, held: Sequence[Signed]) -> None:
    for one in held:
        if one.statement.drill != head.record.drill:
            kind = "a drill" if head.record.drill else "no drill"
            raise Flaw(Status.ALTERED, f"the record is of {kind}, but statement {one.number} says otherwise")


def _check_times(document: Mapping[str, Any], held: Sequence[Signed]) -> None:
    after = document.get("after")
    closed = after.get("closed") if isinstance(after, Mapping) else None
    if not isinstance(closed, datetime) or closed.tzinfo is None:
        return  # what a body must hold is for the checks of the content
    for one in held:
        if one.statement.at < closed:
            raise Flaw(
                Status.ALTERED,
                f"statement {one.number} is dated {iso(one.statement.at)}, before the dive was closed "
                f"at {iso(closed)}",
            )


def _check_content(document: Mapping[str, Any], checks: Sequence[ContentCheck]) -> None:
    for check in checks:
        if problem := check(document):
            raise Flaw(Status.ALTERED, problem)


def _check_complete(missing: Sequence[str]) -> None:
    if missing:
        raise Flaw(Status.UNSIGNED, f"it is not yet signed by: {', '.join(missing)}")


def _judged(one: Signed, signers: AllowedSigners) -> Signed:
    return replace(one, listed=not signers.objection(one.key, one.who, one.statement.at))


def _check_listed(held: Sequence[Signed], signers: AllowedSigners) -> None:
    for one in held:
        if why := signers.objection(one.key, one.who, one.statement.at):
            raise Flaw(Status.UNLISTED, f"signature {one.number}, {one.who}, {iso(one.statement.at)}: {why}")
