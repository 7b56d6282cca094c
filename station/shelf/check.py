"""Every record of the shelf verified once more, signature by signature."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from station.errors import FileError
from station.files import read_bytes
from station.record.content import CONTENT_CHECKS
from station.record.signers import AllowedSigners
from station.record.verify import Status, verify_bytes
from station.shelf.entry import UNREADABLE, Entry
from station.shelf.shelf import Shelf
from station.shelf.spread import spread


@dataclass(frozen=True)
class Checked:
    """What a record was found to be; `remembered`: its content was found right before, by its SHA-256."""

    name: str
    status: str
    problem: str
    drill: bool | None
    remembered: bool

    @property
    def sound(self) -> bool:
        """Whether nothing is wrong."""
        return self.status == Status.SOUND


def check(shelf: Shelf, *, whole: bool = False, jobs: int = 1) -> Iterator[Checked]:
    """Yield the verdict on every record, in the order of names.

    Every byte is read and every signature verified, each time. What the body says (its TOML, its journal's
    chain, the fields the law asks for) follows from its bytes alone; unless `whole`, it is not gone through
    again where the index knows it under the same SHA-256.
    """
    known = (Known.of(one, whole=whole) for one in shelf.each())
    yield from spread(partial(_checked, shelf.records, shelf.listed), known, jobs)


@dataclass(frozen=True)
class Known:
    """A file, and what the index knows of its content: the two tables that verification needs."""

    name: str
    sha256: str
    head: dict[str, object] | None

    @classmethod
    def of(cls, entry: Entry, *, whole: bool) -> "Known":
        """Return what is known of an entry; nothing when the whole is to be gone through again."""
        return cls(entry.name, entry.sha256, None if whole else entry.head)


def _checked(records: Path, listed: AllowedSigners | None, known: Known) -> Checked:
    try:
        data = read_bytes(records / known.name)
    except FileError as error:
        return Checked(known.name, UNREADABLE, error.problems[0][1], drill=None, remembered=False)
    verdict = verify_bytes(data, listed, read_before=known.head) if known.head else None
    remembered = verdict is not None and verdict.sha256 == known.sha256
    if verdict is None or not remembered:
        verdict = verify_bytes(data, listed, CONTENT_CHECKS)
    return Checked(known.name, verdict.status.value, verdict.problem, verdict.drill, remembered)
