"""What the index keeps of one file, read from that file alone."""

import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Annotated, Any, Final, Literal

from pydantic import BeforeValidator, Field, TypeAdapter, ValidationError

from station.errors import FileError
from station.files import FileModel
from station.moments import Moment, iso
from station.record.document_layout import NONE_PRINTED
from station.record.signed import read_head
from station.record.signers import AllowedSigners, identity
from station.record.verify import Status, Verdict
from station.shelf.reading import Reading

UNREADABLE: Final = "cannot be read"
"""The status of a file whose bytes are out of reach."""
HELD: Final = (Status.SOUND, Status.UNSIGNED)
"""What a record can be whose signatures hold and whose content is right."""


def _list(value: object) -> object:
    return value if isinstance(value, list) else []


Rows = Annotated[list[dict[str, Any]], BeforeValidator(_list)]


class _Loose(FileModel, extra="ignore"):
    """Only what is wanted here; what an older record lacks stands at its default, the safer one."""


class _RecordTable(_Loose):
    drill: bool
    title: str


class _Station(_Loose):
    place: str
    altitude_ft: float = 0


class _DiveTable(_Loose):
    diver: str
    diver_name: str
    day: date = Field(alias="date")
    started: Moment
    finished: Moment


class _Times(_Loose):
    bottom_time_min: int


class _Depth(_Loose):
    maximum_fsw: float


class _Schedule(_Loose):
    designation: str = ""
    exceptional: bool = True
    table_sha256: str = ""


class _Ascent(_Loose):
    delays: Rows = Field(default_factory=list)
    omitted: Rows = Field(default_factory=list)


class _Repetitive(_Loose):
    group_after: str = NONE_PRINTED


class _Law(_Loose):
    outside_no_stop: bool = True
    mixed_gas: bool = False
    keep_until: date | None = None
    keep_by: str = ""


class _Sickness(_Loose):
    suspected: bool = False


class _Casualty(_Loose):
    noted: bool = False


class _Body(_Loose):
    record: _RecordTable
    station: _Station
    dive: _DiveTable
    times: _Times
    depth: _Depth
    schedule: _Schedule = _Schedule()
    ascent: _Ascent = _Ascent()
    repetitive: _Repetitive = _Repetitive()
    law: _Law = _Law()
    sickness: _Sickness = _Sickness()
    casualty: _Casualty = _Casualty()


@dataclass(frozen=True)
class ShelvedDive:
    """The dive of a record, as it is found by and listed; `group` None is none printed."""

    drill: bool
    title: str
    place: str
    altitude_ft: float
    diver: str
    diver_name: str
    day: date
    started: Moment
    finished: Moment
    depth_fsw: float
    bottom_min: int
    schedule: str
    table_sha256: str
    group: str | None
    exceptional: bool
    deviations: tuple[str, ...]
    outside_no_stop: bool
    mixed_gas: bool
    sickness: bool
    casualty: bool
    keep_until: date | None
    keep_by: str


@dataclass(frozen=True)
class SignedBy:
    """A signature that holds: who signed as what and when, and the key in hex."""

    person: str
    role: str
    at: Moment
    key: str
    addenda_to: tuple[str, ...] = ()

    def objection(self, listed: AllowedSigners) -> str:
        """Return why the list does not let this signature stand, "" when it does."""
        return listed.objection(bytes.fromhex(self.key), identity(self.person, self.role), self.at)


@dataclass(frozen=True)
class Entry:
    """A file on the shelf: `held` and `flaw` without a list of signers, `status` and `problem` with it."""

    name: str
    sha256: str
    body_sha256: str
    held: str
    flaw: str
    status: str
    problem: str
    signatures: tuple[SignedBy, ...] = ()
    required: tuple[str, ...] = ()
    drill: bool | None = None
    dive: ShelvedDive | None = None
    version: Literal[1] = 1

    @property
    def sound(self) -> bool:
        """Whether nothing is wrong."""
        return self.status == Status.SOUND

    def judged(self, listed: AllowedSigners | None) -> "Entry":
        """Return it held against a list: the file itself need not be read for that."""
        status, problem = self.held, self.flaw
        if listed is not None and self.held in HELD:
            for number, one in enumerate(self.signatures, start=1):
                if why := one.objection(listed):
                    who = identity(one.person, one.role)
                    status = Status.UNLISTED.value
                    problem = f"signature {number}, {who}, {iso(one.at)}: {why}"
                    break
        return replace(self, status=status, problem=problem)

    @property
    def head(self) -> dict[str, Any] | None:
        """The tables of the body that verification needs, where its content was found right; else None."""
        if self.held not in HELD or self.drill is None or not self.required:
            return None
        return {"record": {"drill": self.drill}, "signing": {"required": list(self.required)}}


ENTRY: Final[TypeAdapter[Entry]] = TypeAdapter(Entry)
"""To and from the text that the index keeps; ValidationError when it is none of ours."""


def entry_of(name: str, data: bytes) -> Entry:
    """Return the entry of a file's bytes, judged without a list."""
    reading = Reading.of(data)
    verdict = reading.verdict
    return Entry(
        name=name,
        sha256=verdict.sha256,
        body_sha256=reading.body_sha256,
        held=verdict.status.value,
        flaw=verdict.problem,
        status=verdict.status.value,
        problem=verdict.problem,
        signatures=_signatures(verdict),
        required=_required(reading.body) if verdict.status in HELD else (),
        drill=verdict.drill,
        dive=_dive(reading.body),
    )


def unreadable(name: str, why: FileError) -> Entry:
    """Return the entry of a file whose bytes are out of reach."""
    problem = why.problems[0][1]
    return Entry(
        name,
        sha256="",
        body_sha256="",
        held=UNREADABLE,
        flaw=problem,
        status=UNREADABLE,
        problem=problem,
    )


def _signatures(verdict: Verdict) -> tuple[SignedBy, ...]:
    return tuple(
        SignedBy(
            one.statement.person,
            one.statement.role,
            one.statement.at,
            one.key.hex(),
            tuple(addendum.corrects for addendum in one.addenda),
        )
        for one in verdict.signatures
    )


def _required(body: Mapping[str, Any]) -> tuple[str, ...]:
    return read_head(body).signing.required


def _dive(body: Mapping[str, Any]) -> ShelvedDive | None:
    try:
        # By way of JSON, as everywhere: a TOML date becomes a date, and nothing is converted silently.
        wanted = {name: body[name] for name in _Body.model_fields if name in body}
        found = _Body.model_validate_json(json.dumps(wanted, default=str))
    except (ValidationError, ValueError, RecursionError):
        return None
    group = found.repetitive.group_after
    return ShelvedDive(
        drill=found.record.drill,
        title=found.record.title,
        place=found.station.place,
        altitude_ft=found.station.altitude_ft,
        diver=found.dive.diver,
        diver_name=found.dive.diver_name,
        day=found.dive.day,
        started=found.dive.started,
        finished=found.dive.finished,
        depth_fsw=found.depth.maximum_fsw,
        bottom_min=found.times.bottom_time_min,
        schedule=found.schedule.designation,
        table_sha256=found.schedule.table_sha256,
        group=None if group == NONE_PRINTED else group,
        exceptional=found.schedule.exceptional,
        deviations=_deviations(found.ascent),
        outside_no_stop=found.law.outside_no_stop,
        mixed_gas=found.law.mixed_gas,
        sickness=found.sickness.suspected,
        casualty=found.casualty.noted,
        keep_until=found.law.keep_until,
        keep_by=found.law.keep_by,
    )


def _deviations(ascent: _Ascent) -> tuple[str, ...]:
    """Return the kind of each deviation: where a delay was, and stops left early or passed."""
    delays = [f"delay {one['where']}" for one in ascent.delays if isinstance(one.get("where"), str)]
    return (*delays, *("omitted stop" for _ in ascent.omitted))
