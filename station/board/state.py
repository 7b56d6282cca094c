"""The board: the state of a station as frozen data. Only `fold` makes new boards."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from station.board.alarm_states import AlarmStates
from station.events import (
    ArrivalStated,
    BankFilled,
    BriefingDone,
    CardClosed,
    CardDecided,
    CardOpened,
    CasualtyNoted,
    ChamberMarkTaken,
    ChangedOver,
    ClockAnchored,
    ClockJumped,
    ConditionsNoted,
    CrewJoined,
    DepthDeclared,
    DepthRead,
    DiveCalledOff,
    DiveClosed,
    DivePlanned,
    DiversApart,
    DiversTogether,
    DiverTold,
    EarlierStated,
    Event,
    GapExplained,
    GasChosen,
    IncidentNoted,
    MarkName,
    MarkTaken,
    NoGroupDecided,
    NoteMade,
    ObservationEnded,
    OperationOpened,
    PlanningChecked,
    RecordSigned,
    ResidualChosen,
    Role,
    SampleTaken,
    ScheduleLengthened,
    SicknessSuspected,
    SicknessTreated,
    SourceLost,
    SourceRestored,
    SupplyRead,
    TestDone,
    VoiceChecked,
)
from station.outfit.progress import Progress
from station.setup import Setup

SourceEvent = ChangedOver | SourceLost | SourceRestored | BankFilled
LawEvent = (
    PlanningChecked
    | BriefingDone
    | DiverTold
    | ObservationEnded
    | SicknessSuspected
    | SicknessTreated
    | CasualtyNoted
    | GapExplained
)


@dataclass(frozen=True)
class Lane:
    """One dive of one diver, from its planning to the signatures under its record.

    Readings and voice checks stand in the order of their times, whenever they were entered. `company` says
    since when the diver ascends together with others, or again alone.
    """

    number: int
    plan: DivePlanned
    progress: Progress
    marks: tuple[MarkTaken, ...] = ()
    readings: tuple[DepthRead, ...] = ()
    declared: DepthDeclared | None = None
    lengthened: ScheduleLengthened | None = None
    gas: GasChosen | None = None
    voices: tuple[VoiceChecked, ...] = ()
    remarks: tuple[NoteMade | IncidentNoted, ...] = ()
    called_off: DiveCalledOff | None = None
    earlier: tuple[EarlierStated, ...] = ()
    residual: ResidualChosen | None = None
    no_group: NoGroupDecided | None = None
    arrival: ArrivalStated | None = None
    company: tuple[DiversTogether | DiversApart, ...] = ()
    chamber: tuple[ChamberMarkTaken, ...] = ()
    cards: tuple[CardOpened | CardDecided | CardClosed, ...] = ()
    law: tuple[LawEvent, ...] = ()
    closed: DiveClosed | None = None
    signatures: tuple[RecordSigned, ...] = ()

    def mark(self, name: MarkName) -> MarkTaken | None:
        """Return the mark of that name, None while it is not taken; of a stop's marks, the latest."""
        return next((mark for mark in reversed(self.marks) if mark.mark == name), None)

    @property
    def in_water(self) -> bool:
        """Whether the diver has left the surface and not reached it again."""
        return self.mark("left_surface") is not None and self.mark("reached_surface") is None

    @property
    def over(self) -> bool:
        """Whether nothing more is entered in this lane: it was closed, or called off before the dive."""
        return self.closed is not None or self.called_off is not None

    @property
    def open_cards(self) -> tuple[CardOpened, ...]:
        """The cards opened and not closed again."""
        found: dict[str, CardOpened] = {}
        for one in self.cards:
            if isinstance(one, CardOpened):
                found[one.card] = one
            elif isinstance(one, CardClosed):
                found.pop(one.card, None)
        return tuple(found.values())


@dataclass(frozen=True)
class Board:
    """Everything the journal says; `supply`, `sources` and `tests` stand in the order of their times.

    `log` holds the events as entered, before any correction; `alarms` every alarm ever raised, the one raised
    first in front.
    """

    setup: Setup
    log: tuple[Event, ...] = ()
    opened: OperationOpened | None = None
    anchors: tuple[ClockAnchored, ...] = ()
    jumps: tuple[ClockJumped, ...] = ()
    crew: Mapping[str, CrewJoined] = field(default_factory=dict)
    conditions: ConditionsNoted | None = None
    remarks: tuple[NoteMade | IncidentNoted, ...] = ()
    supply: tuple[SupplyRead, ...] = ()
    sources: tuple[SourceEvent, ...] = ()
    tests: tuple[TestDone | SampleTaken, ...] = ()
    lanes: Mapping[int, Lane] = field(default_factory=dict)
    alarms: AlarmStates = field(default_factory=dict)

    def name(self, person: str) -> str:
        """Return a person's name, or the id itself for one who never joined."""
        joined = self.crew.get(person)
        return joined.name if joined else person

    def has_role(self, person: str, role: Role) -> bool:
        """Whether a person has taken up that duty."""
        joined = self.crew.get(person)
        return joined is not None and role in joined.roles

    def people(self, role: Role) -> list[CrewJoined]:
        """Return everybody with that duty, in the order they joined."""
        return [joined for joined in self.crew.values() if role in joined.roles]

    @cached_property
    def latest_supply(self) -> Mapping[str, SupplyRead]:
        """The reading of each source that was taken last; found once, as every lane asks at every tick."""
        return {reading.source: reading for reading in self.supply}

    def find(self, event_id: str) -> Event | None:
        """Return the logged event with that id."""
        return next((event for event in reversed(self.log) if event.id == event_id), None)
