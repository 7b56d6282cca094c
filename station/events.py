"""Every kind of fact that can be entered at a station, told apart by `kind`.

A lane is one dive of one diver; lanes are numbered from 1 within an operation. `at` is when the thing
happened, `entered` when it was keyed in. Depths are in fsw and pressures in psig: a seat converts what
its user types before it builds an event. Events hold facts only; what follows from them is the board's.
"""

import uuid
from datetime import date, datetime
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, StringConstraints, TypeAdapter

from station.moments import Moment

Seat = Literal["tender", "timekeeper", "supervisor", "drill", "console"]
Role = Literal["tender", "timekeeper", "supervisor", "diver", "standby"]
NutState = Literal["hand_tight", "wrenched", "tried", "off", "back_on"]
MarkName = Literal[
    "left_surface",
    "reached_bottom",
    "left_bottom",
    "reached_stop",
    "left_stop",
    "reached_surface",
    "held",
    "moving",
    "on_oxygen",
    "off_oxygen",
    "oxygen_lost",
]
Gas = Literal["air", "air_oxygen", "surface_oxygen"]


def _shows(text: str) -> str:
    """Return the text; ValueError for what a screen or a print could not show as it was typed."""
    for letter in text:
        if not letter.isprintable() and letter != "\n":
            raise ValueError(f"holds a character that cannot be shown (U+{ord(letter):04X})")
    return text


def _one_line(text: str) -> str:
    if "\n" in text:
        raise ValueError("must be one line")
    return _shows(text)


Name = Annotated[
    str,
    StringConstraints(min_length=1, max_length=80, strip_whitespace=True),
    AfterValidator(_one_line),
]
Slug = Annotated[str, StringConstraints(pattern=r"^[a-z0-9][a-z0-9-]{0,39}$")]
Text = Annotated[
    str, StringConstraints(min_length=1, max_length=2000, strip_whitespace=True), AfterValidator(_shows)
]
Sha256 = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
LaneNumber = Annotated[int, Field(ge=1, le=999)]
DepthFsw = Annotated[float, Field(ge=0, le=400)]
PressurePsig = Annotated[float, Field(ge=0, le=6000)]


class Part(BaseModel):
    """Base of events and of what they hold: frozen, no unknown fields, no silent conversions."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)


class Entry(Part):
    """What every event carries."""

    version: Literal[1] = 1
    id: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{32}$")] = Field(
        default_factory=lambda: uuid.uuid4().hex
    )
    at: Moment
    entered: Moment
    by: Slug
    seat: Seat


class LaneEntry(Entry):
    """An event that belongs to one diver's lane."""

    lane: LaneNumber


class FileUse(Part):
    """A configuration file in use: its part, its name and its SHA-256."""

    role: Literal["station", "outfit", "tables", "supply", "scenario"]
    name: Name
    sha256: Sha256


class OperationOpened(Entry):
    """The first entry of every journal."""

    kind: Literal["operation.opened"] = "operation.opened"
    title: Name
    station: Name
    place: Name
    drill: bool
    program: str
    files: tuple[FileUse, ...]


class ClockAnchored(Entry):
    """Both clocks of a machine read at once; every seat on that machine counts from here."""

    kind: Literal["clock.anchored"] = "clock.anchored"
    boot: str
    counter_ns: int


class ClockJumped(Entry):
    """The machine's wall clock was set by somebody or something; station time went on regardless."""

    kind: Literal["clock.jumped"] = "clock.jumped"
    by_s: float


class CrewJoined(Entry):
    """A person takes up duties, or changes them: the latest entry for a person holds."""

    kind: Literal["crew.joined"] = "crew.joined"
    person: Slug
    name: Name
    roles: tuple[Role, ...]


class ConditionsNoted(Entry):
    """Underwater and surface conditions: 29 CFR 1910.423(d)(1)(v)."""

    kind: Literal["conditions.noted"] = "conditions.noted"
    visibility: Name
    water_temperature_c: Annotated[float, Field(ge=-5, le=50)]
    current: Name
    surface: Name


class NoteMade(Entry):
    """Free words on the record, of one lane or of the whole station."""

    kind: Literal["note.made"] = "note.made"
    lane: LaneNumber | None = None
    text: Text


class IncidentNoted(Entry):
    """Something went wrong: what, in whose lane, and what was decided."""

    kind: Literal["incident.noted"] = "incident.noted"
    lane: LaneNumber | None = None
    text: Text


class EntryAmended(Entry):
    """A correction: names the entry it corrects, the fields that change, and why. Nothing is erased."""

    kind: Literal["entry.amended"] = "entry.amended"
    target: str
    changes: dict[str, Any]
    reason: Text


class EntryWithdrawn(Entry):
    """An entry made in error no longer counts; it stays readable."""

    kind: Literal["entry.withdrawn"] = "entry.withdrawn"
    target: str
    reason: Text


class DivePlanned(LaneEntry):
    """Opens a lane."""

    kind: Literal["dive.planned"] = "dive.planned"
    diver: Slug
    tenders: tuple[Slug, ...]
    depth_fsw: Annotated[float, Field(gt=0, le=400)]
    time_min: Annotated[int, Field(ge=1, le=1440)]
    mode: Name = "surface-supplied air, standard deep-sea outfit"
    work: Text


class PieceDrawn(LaneEntry):
    """A piece of the outfit is drawn for this dive, or drawn in place of one that failed."""

    kind: Literal["piece.drawn"] = "piece.drawn"
    piece: Slug
    number: Name
    stamped: Name | None = None
    tested: date | None = None


class ItemInspected(LaneEntry):
    """One inspection item looked at, with its result."""

    kind: Literal["item.inspected"] = "item.inspected"
    item: Slug
    passed: bool
    remark: Text | None = None


class StepDone(LaneEntry):
    """One step of connecting, dressing or undressing; `checked_by` where a second person must look."""

    kind: Literal["step.done"] = "step.done"
    step: Slug
    checked_by: Slug | None = None


class NutMarked(LaneEntry):
    """One wing nut on its numbered stud."""

    kind: Literal["nut.marked"] = "nut.marked"
    stud: Annotated[int, Field(ge=1, le=99)]
    state: NutState


class HoldReleased(LaneEntry):
    """The supervisor releases a hold that may be released, with the reason."""

    kind: Literal["hold.released"] = "hold.released"
    hold: Slug
    reason: Text


class MarkTaken(LaneEntry):
    """A time of the dive; a mark of a stop, and of a hold on the way up, names its depth."""

    kind: Literal["mark.taken"] = "mark.taken"
    mark: MarkName
    depth_fsw: DepthFsw | None = None


class DepthRead(LaneEntry):
    """A pneumofathometer reading as read, before its correction."""

    kind: Literal["depth.read"] = "depth.read"
    reading_fsw: DepthFsw


class DepthDeclared(LaneEntry):
    """The supervisor declares a deeper depth of dive than was read; never a shallower one."""

    kind: Literal["depth.declared"] = "depth.declared"
    depth_fsw: DepthFsw
    reason: Text


class SupplyRead(Entry):
    """A pressure read on the manifold or on a bank."""

    kind: Literal["supply.read"] = "supply.read"
    source: Slug
    pressure_psig: PressurePsig


class VoiceChecked(LaneEntry):
    """A voice check with the diver."""

    kind: Literal["voice.checked"] = "voice.checked"
    good: bool


class ScheduleLengthened(LaneEntry):
    """The supervisor takes the next longer schedule for a cold or arduous dive."""

    kind: Literal["schedule.lengthened"] = "schedule.lengthened"
    reason: Text


class GasChosen(LaneEntry):
    """The supervisor chooses what is breathed on the way up: air, oxygen in the water, or oxygen on deck.

    The latest entry of a lane holds; a lane without one goes up on air.
    """

    kind: Literal["gas.chosen"] = "gas.chosen"
    gas: Gas
    reason: Text


class DiveClosed(LaneEntry):
    """The supervisor closes the lane; from here on its record can be written and signed."""

    kind: Literal["dive.closed"] = "dive.closed"
    condition_after: Text
    remarks: Text | None = None


class RecordSigned(LaneEntry):
    """A signature was put under the record of this lane."""

    kind: Literal["record.signed"] = "record.signed"
    file: Name
    sha256: Sha256
    person: Slug
    role: Role
    fingerprint: str


Event = Annotated[
    OperationOpened
    | ClockAnchored
    | ClockJumped
    | CrewJoined
    | ConditionsNoted
    | NoteMade
    | IncidentNoted
    | EntryAmended
    | EntryWithdrawn
    | DivePlanned
    | PieceDrawn
    | ItemInspected
    | StepDone
    | NutMarked
    | HoldReleased
    | MarkTaken
    | DepthRead
    | DepthDeclared
    | SupplyRead
    | VoiceChecked
    | ScheduleLengthened
    | GasChosen
    | DiveClosed
    | RecordSigned,
    Field(discriminator="kind"),
]

EVENT: TypeAdapter[Event] = TypeAdapter(Event)


def to_text(event: Event) -> str:
    """Return the event as one line of JSON; equal events give equal text."""
    return event.model_dump_json(exclude_none=True)


def from_text(text: str) -> Event:
    """Return the event of a line of JSON; pydantic.ValidationError when it is not one."""
    return EVENT.validate_json(text, strict=True)


def stamp(at: datetime, by: str, seat: Seat, entered: datetime | None = None) -> dict[str, Any]:
    """Return the fields every event needs, to be spread into its constructor."""
    return {"at": at, "entered": entered or at, "by": by, "seat": seat}
