"""What a record says of its dive, as it counts for the next one.

Read from the record alone: no journal, no table file. Whether a record is sound is for `verify`.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from pydantic import Field, ValidationError

from station.dive.series import EarlierDive
from station.errors import FileError, RecordError
from station.files import FileModel, digest, parse_toml
from station.moments import Moment
from station.record.document_layout import NONE_PRINTED
from station.record.signed import split
from station.tables.model import Tables
from station.units import from_fsw

_NO_DIVE = "{} is not the record of a finished dive"


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
    interval_begins: Moment | None = None


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
    """A dive as its record tells it; `depth_fsw` entered the tables, `group` None is none printed.

    `surfaced` is where its surface interval begins: at the surface, or on leaving the chamber.
    """

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
        document = parse_toml(body, name)
    except (RecordError, FileError):
        raise RecordError(_NO_DIVE.format(name)) from None
    return dive_of_body(document, name, digest(body))


def dive_of_body(document: Mapping[str, Any], name: str, sha256: str) -> RecordedDive:
    """Return what a body read as TOML says of its dive; `sha256` is the digest of its bytes.

    Raises:
        RecordError: the file is no record of a finished dive.

    """
    try:
        found = _Body.model_validate(document, strict=False)
    except ValidationError:
        raise RecordError(_NO_DIVE.format(name)) from None
    schedule, group = found.schedule, found.repetitive.group_after
    return RecordedDive(
        record=Path(name).name,
        sha256=sha256,
        drill=found.record.drill,
        title=found.record.title,
        diver=found.dive.diver,
        diver_name=found.dive.diver_name,
        surfaced=found.repetitive.interval_begins or found.dive.finished,
        group=None if group == NONE_PRINTED else group,
        depth_fsw=schedule.depth_entered_fsw,
        bottom_min=schedule.bottom_time_min,
        added_min=max(0, schedule.time_entered_min - schedule.bottom_time_min),
        exceptional=schedule.exceptional,
    )
