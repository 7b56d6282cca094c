"""Records of another station's folder taken in: nothing is overwritten, and nothing is believed by itself.

What is taken is copied byte for byte under its own name, whole or not at all. The other station's list of
signers is never read: whom to trust is for people to say, in the list of this station or one named for it.
"""

import contextlib
import errno
import fcntl
import os
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Literal

from station.errors import FileError, StorageError
from station.files import read_bytes
from station.moments import iso
from station.record.signers import AllowedSigners, signer
from station.record.verify import Status
from station.record.wire import fingerprint
from station.shelf.entry import Entry, entry_of
from station.shelf.scan import Found, Stamp, names
from station.shelf.shelf import Shelf

Take = Callable[[Path, bytes], None]
What = Literal["taken", "duplicate", "conflict", "not taken"]
PART: Final = ".import-"
_NO_LINKS: Final = {errno.EPERM, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS, errno.EMLINK}


@dataclass(frozen=True)
class Stranger:
    """A signature by someone whom the list does not let sign so: the key, and the line that would list it."""

    who: str
    fingerprint: str
    line: str


@dataclass(frozen=True)
class Brought:
    """What was done with a file of the other folder, and why; `here` is the file it was held against."""

    name: str
    what: What
    why: str
    here: str = ""
    strangers: tuple[Stranger, ...] = ()


def bring(
    shelf: Shelf, source: Path, judge: AllowedSigners | None, *, dry_run: bool = False
) -> Iterator[Brought]:
    """Take in the sound records of a folder one by one, in the order of names, and say what became of each.

    `judge` is the list that they are held against. `dry_run`: nothing is copied; the shelf must then be one
    whose index is in memory.

    Raises:
        StorageError: the other folder cannot be read, it is this one, or a copy cannot be written in full.

    """
    if source.resolve() == shelf.records.resolve():
        raise StorageError(f"{source}: is the shelf itself; name the folder of another station")
    take = _only_look if dry_run else place
    with contextlib.nullcontext() if dry_run else _alone(shelf.records):
        for name, _ in sorted(names(source)):
            yield _one(shelf, source / name, judge, take)


def _one(shelf: Shelf, path: Path, judge: AllowedSigners | None, take: Take) -> Brought:
    try:
        data = read_bytes(path)
    except FileError as error:
        return Brought(path.name, "not taken", error.problems[0][1])
    held = entry_of(path.name, data)
    one = held.judged(judge)
    against = _stands_here(shelf, one) or _not_sound(one, judge) or _clash(shelf, one)
    if against is not None:
        return against
    take(shelf.records / one.name, data)
    shelf.put(Found(one.name, Stamp(), settled=False, sha256=one.sha256, entry=held))
    here = held.judged(shelf.listed)
    if here.sound:
        return Brought(one.name, "taken", "")
    why = f"sound by the list given, but {here.status} by this station's: {here.problem}"
    return Brought(one.name, "taken", why, strangers=_strangers(here, shelf.listed))


def _stands_here(shelf: Shelf, one: Entry) -> Brought | None:
    """Return the record as a duplicate when its bytes or its body stand on the shelf already."""
    for same in shelf.select("sha256 = ? ORDER BY name LIMIT 1", one.sha256):
        as_what = "under this name" if same.name == one.name else f"as {same.name}"
        return Brought(one.name, "duplicate", f"the same bytes stand here {as_what}", same.name)
    for same in shelf.select("body_sha256 = ? ORDER BY name LIMIT 1", one.body_sha256):
        why = (
            f"the same body stands here as {same.name}, {_count(same)}; this file has {_count(one)}: "
            "compare them, nothing was copied"
        )
        return Brought(one.name, "duplicate", why, same.name)
    return None


def _not_sound(one: Entry, judge: AllowedSigners | None) -> Brought | None:
    if not one.sound:
        strangers = _strangers(one, judge) if one.status == Status.UNLISTED else ()
        return Brought(one.name, "not taken", f"{one.status}: {one.problem}", strangers=strangers)
    if one.dive is None:
        return Brought(one.name, "not taken", "it is sound, but no record of a finished dive")
    return None


def _clash(shelf: Shelf, one: Entry) -> Brought | None:
    """Return the record as a conflict when its name is taken, or its diver was under water then elsewhere."""
    if os.path.lexists(shelf.records / one.name):
        return Brought(one.name, "conflict", "another file stands here under this name", one.name)
    dive = one.dive
    if dive is None:
        return None
    same_time = shelf.select(
        "(diver = ? OR diver_name = ?) AND started < ? AND finished > ? AND drill IS ? ORDER BY name LIMIT 1",
        dive.diver,
        dive.diver_name.casefold(),
        iso(dive.finished),
        iso(dive.started),
        int(dive.drill),
    )
    for other in same_time:
        why = f"{other.name} says otherwise of the same diver at the same time ({other.status})"
        return Brought(one.name, "conflict", why, other.name)
    return None


def _strangers(one: Entry, listed: AllowedSigners | None) -> tuple[Stranger, ...]:
    held = listed or AllowedSigners()
    return tuple(
        Stranger(
            f"{signed.person}:{signed.role}",
            fingerprint(bytes.fromhex(signed.key)),
            signer(signed.person, (signed.role,), bytes.fromhex(signed.key)).line(),
        )
        for signed in one.signatures
        if signed.objection(held)
    )


def _count(one: Entry) -> str:
    count = len(one.signatures)
    return f"{count} signature{'' if count == 1 else 's'} that hold{'s' if count == 1 else ''}"


def summary(brought: Sequence[Brought]) -> dict[What, int]:
    """Return how many files came to what."""
    counted = Counter(one.what for one in brought)
    kinds: tuple[What, ...] = ("taken", "duplicate", "conflict", "not taken")
    return {what: counted[what] for what in kinds}


def _only_look(path: Path, data: bytes) -> None:
    """Leave the folder as it is."""


def place(path: Path, data: bytes) -> None:
    """Put a new file into the folder, whole from the moment it has its name, or raise StorageError."""
    try:
        handle, part = tempfile.mkstemp(prefix=PART, dir=path.parent)
        try:
            with os.fdopen(handle, "wb") as file:
                os.fchmod(file.fileno(), 0o644)
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            _name(Path(part), path)
        finally:
            Path(part).unlink(missing_ok=True)
    except FileExistsError:
        raise StorageError(f"{path} exists already and is not overwritten") from None
    except OSError as error:
        raise StorageError(f"{path} cannot be written: {error.strerror}") from None


def _name(part: Path, path: Path) -> None:
    """Give a whole file its name, unless that is taken."""
    try:
        path.hardlink_to(part)
    except OSError as error:
        if error.errno not in _NO_LINKS:
            raise
        if os.path.lexists(path):
            raise FileExistsError from None
        part.rename(path)


@contextlib.contextmanager
def _alone(records: Path) -> Iterator[None]:
    """Let one import at a time into a folder, and sweep away what an interrupted one left half-written."""
    handle = os.open(records, os.O_RDONLY)
    try:
        with contextlib.suppress(OSError):  # a network share may have no locks; no file is overwritten anyhow
            fcntl.flock(handle, fcntl.LOCK_EX)
            for left in records.glob(f"{PART}*"):
                left.unlink()
        yield
        os.fsync(handle)
    finally:
        os.close(handle)
