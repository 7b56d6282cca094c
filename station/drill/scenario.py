"""The scenario file: who is there, what is entered when, and how the drill must end.

An entry of a scenario has a time of day (`at`) or a delay after the entry before it (`after`), the
person and seat it comes from, and either a `kind` with that event's own fields or `play`, which works
through a section of the outfit file step by step in the order that is open. `refused` says that the
console must refuse the entry, and with which word; an entry with `refused` changes nothing.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field, JsonValue, StringConstraints, model_validator

from station.errors import FileError
from station.events import LaneNumber, Name, Role, Seat, Slug, Text
from station.files import FileModel, load, read_bytes
from station.moments import Moment

Delay = Annotated[str, StringConstraints(pattern=r"^(\d+:)?\d{1,3}:\d{2}(\.\d{1,3})?$")]
TimeOfDay = Annotated[str, StringConstraints(pattern=r"^([01]\d|2[0-3]):[0-5]\d:[0-5]\d(\.\d{1,3})?$")]
Section = Literal["pieces", "inspection", "connecting", "dressing", "ladder", "undressing"]


class Line(FileModel):
    """One line of the script."""

    at: TimeOfDay | None = None
    after: Delay | None = None
    by: Slug
    seat: Seat = "drill"
    lane: LaneNumber | None = None
    kind: Name | None = None
    play: Section | None = None
    until: Slug | None = None
    every: Delay = "0:10"
    second: Slug | None = None
    refused: Text | None = None
    fields: dict[str, JsonValue] = Field(default_factory=dict)
    say: Text | None = None

    @model_validator(mode="after")
    def _one_thing(self) -> "Line":
        if (self.kind is None) == (self.play is None):
            raise ValueError("needs either kind or play")
        if (self.at is None) == (self.after is None):
            raise ValueError("needs either at or after")
        if self.play is not None and self.lane is None:
            raise ValueError("play needs the lane whose outfit is worked on")
        return self


class Signature(FileModel):
    """Who signs a lane's record at the end, as what."""

    lane: LaneNumber
    by: Slug
    role: Role


class PieceLine(FileModel):
    """A piece of the outfit that is drawn when a line plays the section `pieces`."""

    lane: LaneNumber
    piece: Slug
    number: Name
    stamped: Name | None = None
    tested: date | None = None


class EveryPiece(FileModel):
    """How a piece is numbered, stamped and tested that is drawn and not listed by itself."""

    number: Name
    stamped: Name
    tested: date


class Expected(FileModel):
    """How a lane must end, worked out by hand; only the keys given are compared.

    `owed` are the stops owed in the end, `due` the start and end of each as 20 08:06:34 08:33:34, `delays`
    those that count, as 20: 2:16 counts 3, `changes` each change of the plan after leaving the bottom, as
    08:07:34 110/40 20:39, and `oxygen` the time on it, as 45:00, breaks: 1;
    `chamber` the surface interval and the oxygen after it, as interval 4:30, oxygen 30:00.
    """

    lane: LaneNumber
    bottom_time_min: Annotated[int, Field(ge=1)] | None = None
    schedule: Name | None = None
    stops: str | None = None
    group: str | None = None
    total_decompression: Delay | None = None
    deviations: Annotated[int, Field(ge=0)] | None = None
    residual_min: Annotated[int, Field(ge=0)] | None = None
    owed: str | None = None
    due: tuple[str, ...] | None = None
    delays: tuple[str, ...] | None = None
    changes: tuple[str, ...] | None = None
    oxygen: str | None = None
    chamber: str | None = None
    why: Text


class ScenarioFile(FileModel):
    """The scenario file as declared."""

    format: Literal["scenario/1"]
    title: Name
    story: Text
    station: Name
    start: Moment
    passphrase: Annotated[str, StringConstraints(min_length=8, max_length=80)]
    line: Annotated[tuple[Line, ...], Field(min_length=1)]
    piece: tuple[PieceLine, ...] = ()
    every_piece: EveryPiece | None = None
    signature: tuple[Signature, ...] = ()
    expected: tuple[Expected, ...] = ()

    def drawn(self, piece: str, lane: int) -> PieceLine | None:
        """Return the piece to draw for a lane, None when the scenario has none."""
        listed = next((one for one in self.piece if one.piece == piece and one.lane == lane), None)
        if listed is not None or self.every_piece is None:
            return listed
        every = self.every_piece
        number = f"{every.number}-{lane}"
        return PieceLine(lane=lane, piece=piece, number=number, stamped=every.stamped, tested=every.tested)


@dataclass(frozen=True)
class Scenario:
    """A checked scenario, with where its station file stands and the bytes it was read from."""

    path: Path
    data: bytes
    file: ScenarioFile

    @property
    def station_path(self) -> Path:
        """Return the station file the scenario is played with."""
        return self.path.parent / self.file.station


def load_scenario(path: Path) -> Scenario:
    """Return a checked scenario; FileError with every problem found."""
    data = read_bytes(path)
    scenario = Scenario(path, data, load(data, str(path), ScenarioFile))
    if not scenario.station_path.is_file():
        raise FileError(str(path), [("station", f"no such file: {scenario.station_path}")])
    list(times(scenario.file, str(path)))
    return scenario


def delay(text: str) -> timedelta:
    """Return the delay of a text such as 0:30, 12:05 or 1:02:03.500."""
    parts = [float(part) for part in text.split(":")]
    seconds = 0.0
    for part in parts:
        seconds = seconds * 60 + part
    return timedelta(milliseconds=round(seconds * 1000))


def times(file: ScenarioFile, name: str) -> Iterator[tuple[Line, datetime | timedelta]]:
    """Return each line with its moment or its delay; FileError when the times of day run backwards."""
    last = file.start
    for number, line in enumerate(file.line, start=1):
        if line.at is None:
            yield line, delay(line.after or "0:00")
            continue
        moment = at_time_of_day(last, line.at)
        if moment - last > timedelta(hours=18):
            raise FileError(name, [(f"line[{number}].at", f"{line.at} is before the line above it")])
        last = moment
        yield line, moment


def at_time_of_day(last: datetime, text: str) -> datetime:
    """Return the first moment not before `last` with that time of day: a dive may run past midnight."""
    hours, minutes, seconds = re.split(":", text)
    moment = last.replace(hour=int(hours), minute=int(minutes), second=0, microsecond=0)
    moment += timedelta(milliseconds=round(float(seconds) * 1000))
    return moment if moment >= last else moment + timedelta(days=1)


def event_fields(line: Line) -> dict[str, Any]:
    """Return the fields of a line's event, besides those that every event carries."""
    own = dict(line.fields)
    if line.lane is not None:
        own["lane"] = line.lane
    return own
