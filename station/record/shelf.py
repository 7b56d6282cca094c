"""Earlier dives on the shelf: what a record says of its dive, as it counts for the next one.

Read from the record alone: no journal, no table file. Whether a record is sound is for `verify`.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any, Final

from pydantic import Field, ValidationError

from station.dive.series import EarlierDive
from station.errors import FileError, RecordError
from station.files import FileModel, digest, parse_toml, read_bytes
from station.folder import Folder
from station.moments import Moment
from station.record.document_layout import NONE_PRINTED
from station.record.signed import split
from station.record.verify import verify_bytes
from station.tables.model import Tables
from station.units import from_fsw

LOOK_BACK: Final = timedelta(days=11)
"""No choice of a station lets a dive count for longer than 240 h."""
_DAY: Final = re.compile(r"\d{4}-\d{2}-\d{2}")


class _Dive(FileModel, extra="ignore"):
    diver: str
    diver_name: str
    finished: Moment


class _Schedule(FileModel, extra="ignore"):
    bottom_time_min: int = Field(ge=1)
    time_entered_min: int = Field(ge=1)
    depth_entered_fsw: float = Field(ge=0)
    exceptional: bool


class _Repetitive(FileModel, extra="ignore"):
    group_after: str


class _Head(FileModel, extra="ignore"):
    drill: bool
    title: str


class _Body(FileModel, extra="ignore"):
    record: _Head
    dive: _Dive
    schedule: _Schedule
    repetitive: _Repetitive


@dataclass(frozen=True)
class RecordedDive:
    """A dive as its record tells it; `depth_fsw` entered the tables, `group` None is none printed."""

    record: str
    sha256: str
    drill: bool
    title: str
    diver: str
    diver_name: str
    surfaced: datetime
    group: str | None
    depth_fsw: float
    bottom_min: int
    added_min: int
    exceptional: bool

    def dive(self, tables: Tables) -> EarlierDive:
        """Return it as the dive rules take it."""
        return EarlierDive(
            surfaced=self.surfaced,
            group=self.group,
            depth=from_fsw(self.depth_fsw, tables.unit),
            bottom_min=self.bottom_min,
            source=f"the dive of record {self.record}",
            added_min=self.added_min,
            exceptional=self.exceptional,
        )

    def fields(self) -> dict[str, Any]:
        """Return the fields of the entry by which a lane takes it in: `EarlierStated`, but for its lane."""
        return {
            "surfaced": self.surfaced,
            "group": self.group,
            "depth_fsw": self.depth_fsw,
            "bottom_min": self.bottom_min,
            "added_min": self.added_min,
            "exceptional": self.exceptional,
            "record": self.record,
            "record_sha256": self.sha256,
            "reason": f"found on the shelf: {self.title}",
        }


def recorded_dive(data: bytes, name: str) -> RecordedDive:
    """Return what a record says of its dive; `name` is shown as the file.

    Raises:
        RecordError: the file is no record of a finished dive.

    """
    try:
        body = split(data).body
        found = _Body.model_validate(parse_toml(body, name), strict=False)
    except (RecordError, FileError, ValidationError):
        raise RecordError(f"{name} is not the record of a finished dive") from None
    schedule, group = found.schedule, found.repetitive.group_after
    return RecordedDive(
        record=Path(name).name,
        sha256=digest(body),
        drill=found.record.drill,
        title=found.record.title,
        diver=found.dive.diver,
        diver_name=found.dive.diver_name,
        surfaced=found.dive.finished,
        group=None if group == NONE_PRINTED else group,
        depth_fsw=schedule.depth_entered_fsw,
        bottom_min=schedule.bottom_time_min,
        added_min=max(0, schedule.time_entered_min - schedule.bottom_time_min),
        exceptional=schedule.exceptional,
    )


def earlier_on_shelf(
    folder: Folder, diver: str, diver_name: str, now: datetime, *, drill: bool = False
) -> list[RecordedDive]:
    """Return the diver's dives of late among the records on the shelf, in the order of their ends.

    A diver is known by the id or the name. Records that are not sound are left out, and so are those of
    drills for a real dive, and the other way round. StorageError is never raised: a shelf that cannot be read
    has nothing to offer.
    """
    found = [one for one in _recent(folder, now) if _is(one, diver, diver_name) and one.drill == drill]
    return sorted(found, key=lambda one: one.surfaced)


def _is(one: RecordedDive, diver: str, diver_name: str) -> bool:
    return one.diver == diver or one.diver_name.casefold() == diver_name.casefold()


def _recent(folder: Folder, now: datetime) -> Iterator[RecordedDive]:
    """Yield the dives that ended within the time that may count; a file's name tells its day."""
    first = f"{now - LOOK_BACK - timedelta(days=1):%Y-%m-%d}"
    for path in sorted(folder.records.glob("*.toml")):
        if _DAY.match(path.name) and path.name[:10] < first:
            continue
        try:
            data = read_bytes(path)
            one = recorded_dive(data, path.name)
            sound = verify_bytes(data).sound
        except (FileError, RecordError):
            continue
        if sound and now - LOOK_BACK <= one.surfaced <= now:
            yield one
