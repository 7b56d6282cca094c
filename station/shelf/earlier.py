"""The dives of late on the shelf, as they count for the next one: read from their files, never the index."""

import re
from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Final

from station.errors import FileError, RecordError
from station.files import read_bytes
from station.folder import Folder
from station.record import signers
from station.record.recorded import RecordedDive
from station.record.signers import AllowedSigners
from station.record.verify import Status
from station.shelf.reading import Reading

LOOK_BACK: Final = timedelta(days=11)
"""No choice of a station lets a dive count for longer than 240 h."""
_DAY: Final = re.compile(r"\d{4}-\d{2}-\d{2}")


def earlier_on_shelf(
    folder: Folder, diver: str, diver_name: str, now: datetime, *, drill: bool = False
) -> list[RecordedDive]:
    """Return the diver's dives of late among the records on the shelf, in the order of their ends.

    A diver is known by the id or the name. A record that only lacks signatures is among them, and its title
    says so: yesterday's dive counts, whoever has still to sign. Other records that are not sound are left
    out, and so are those of drills for a real dive, and the other way round. StorageError is never raised: a
    shelf that cannot be read has nothing to offer.
    """
    offered = {Status.SOUND, Status.UNSIGNED}
    return [
        one if status is Status.SOUND else replace(one, title=f"{one.title}, NOT YET SIGNED BY ALL")
        for one, status in _dives(_recent(folder, now), None, now)
        if status in offered and is_diver(one, diver, diver_name) and one.drill == drill
    ]


def sound_dives(paths: Iterable[Path], listed: AllowedSigners | None, now: datetime) -> list[RecordedDive]:
    """Return the dives of these files that ended within the time that may count, in the order of their ends.

    Left out: files that cannot be read and records that are not sound, held against a list if one is given.
    """
    return [one for one, status in _dives(paths, listed, now) if status is Status.SOUND]


def _dives(
    paths: Iterable[Path], listed: AllowedSigners | None, now: datetime
) -> list[tuple[RecordedDive, Status]]:
    """Return the dives of files that can be read and may count, each with what its record was found to be."""
    found = []
    for path in paths:
        try:
            reading = Reading.of(read_bytes(path), listed)
            one = reading.dive(path.name)
        except (FileError, RecordError):
            continue
        if now - LOOK_BACK <= one.surfaced <= now:
            found.append((one, reading.verdict.status))
    return sorted(found, key=lambda each: each[0].surfaced)


def signers_of(folder: Folder) -> AllowedSigners | None:
    """Return the folder's list of who may sign; None when it has none. FileError when it is not right."""
    return signers.load(folder.allowed_signers) if folder.allowed_signers.is_file() else None


def is_diver(one: RecordedDive, diver: str, diver_name: str) -> bool:
    """Whether a dive is of this diver, known by the id or the name."""
    return one.diver == diver or one.diver_name.casefold() == diver_name.casefold()


def _recent(folder: Folder, now: datetime) -> Iterator[Path]:
    """Yield the files that may hold a dive of late; a file's name tells its day."""
    first = f"{now - LOOK_BACK - timedelta(days=1):%Y-%m-%d}"
    for path in sorted(folder.records.glob("*.toml")):
        if not (_DAY.match(path.name) and path.name[:10] < first):
            yield path
