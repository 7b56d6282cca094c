"""Every kind of fact that can be entered at a station, told apart by `kind`.

A lane is one dive of one diver; lanes are numbered from 1 within an operation. `at` is when the thing
happened, `entered` when it was keyed in. Depths are in fsw and pressures in psig: a seat converts what
its user types before it builds an event. Events hold facts only; what follows from them is the board's.
"""

from datetime import datetime
from typing import Annotated, Any

from pydantic import Field, TypeAdapter

from station.events.alarms import AlarmAcknowledged, AlarmCleared, AlarmKey, AlarmRaised, Priority
from station.events.ascent import (
    ArrivalStated,
    CardClosed,
    CardDecided,
    CardOpened,
    ChamberMarkTaken,
    DiversApart,
    DiversTogether,
    EarlierStated,
    NoGroupDecided,
    ResidualChosen,
)
from station.events.base import (
    ChamberMarkName,
    DepthFsw,
    Entry,
    Gas,
    LaneEntry,
    LaneNumber,
    MarkName,
    Name,
    NutState,
    Part,
    PressurePsig,
    Role,
    Seat,
    Sha256,
    Slug,
    Text,
)
from station.events.dive import (
    DepthDeclared,
    DepthRead,
    DiveCalledOff,
    DiveClosed,
    DivePlanned,
    GasChosen,
    MarkTaken,
    RecordSigned,
    ScheduleLengthened,
    VoiceChecked,
)
from station.events.law import (
    BriefingDone,
    CasualtyNoted,
    DiverTold,
    GapExplained,
    ObservationEnded,
    PlanningChecked,
    SicknessSuspected,
    SicknessTreated,
)
from station.events.operation import (
    ClockAnchored,
    ClockJumped,
    ConditionsNoted,
    CrewJoined,
    EntryAmended,
    EntryWithdrawn,
    FileUse,
    IncidentNoted,
    NoteMade,
    OperationOpened,
    SupplyRead,
)
from station.events.outfit import HoldReleased, ItemInspected, NutMarked, PieceDrawn, StepDone
from station.events.supply import (
    BankFilled,
    ChangedOver,
    SampleTaken,
    SourceLost,
    SourceRestored,
    TestDone,
)

__all__ = [
    "EVENT",
    "AlarmAcknowledged",
    "AlarmCleared",
    "AlarmKey",
    "AlarmRaised",
    "ArrivalStated",
    "BankFilled",
    "BriefingDone",
    "CardClosed",
    "CardDecided",
    "CardOpened",
    "CasualtyNoted",
    "ChamberMarkName",
    "ChamberMarkTaken",
    "ChangedOver",
    "ClockAnchored",
    "ClockJumped",
    "ConditionsNoted",
    "CrewJoined",
    "DepthDeclared",
    "DepthFsw",
    "DepthRead",
    "DiveCalledOff",
    "DiveClosed",
    "DivePlanned",
    "DiverTold",
    "DiversApart",
    "DiversTogether",
    "EarlierStated",
    "Entry",
    "EntryAmended",
    "EntryWithdrawn",
    "Event",
    "FileUse",
    "GapExplained",
    "Gas",
    "GasChosen",
    "HoldReleased",
    "IncidentNoted",
    "ItemInspected",
    "LaneEntry",
    "LaneNumber",
    "MarkName",
    "MarkTaken",
    "Name",
    "NoGroupDecided",
    "NoteMade",
    "NutMarked",
    "NutState",
    "ObservationEnded",
    "OperationOpened",
    "Part",
    "PieceDrawn",
    "PlanningChecked",
    "PressurePsig",
    "Priority",
    "RecordSigned",
    "ResidualChosen",
    "Role",
    "SampleTaken",
    "ScheduleLengthened",
    "Seat",
    "Sha256",
    "SicknessSuspected",
    "SicknessTreated",
    "Slug",
    "SourceLost",
    "SourceRestored",
    "StepDone",
    "SupplyRead",
    "TestDone",
    "Text",
    "VoiceChecked",
    "from_text",
    "stamp",
    "to_text",
]

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
    | ChangedOver
    | SourceLost
    | SourceRestored
    | BankFilled
    | TestDone
    | SampleTaken
    | VoiceChecked
    | ScheduleLengthened
    | GasChosen
    | DiveCalledOff
    | EarlierStated
    | ResidualChosen
    | NoGroupDecided
    | ArrivalStated
    | DiversTogether
    | DiversApart
    | ChamberMarkTaken
    | CardOpened
    | CardDecided
    | CardClosed
    | PlanningChecked
    | BriefingDone
    | DiverTold
    | ObservationEnded
    | SicknessSuspected
    | SicknessTreated
    | CasualtyNoted
    | GapExplained
    | AlarmRaised
    | AlarmCleared
    | AlarmAcknowledged
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
