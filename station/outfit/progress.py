"""How far one diver's inspection and dressing has come, and what can be asked of it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from station.events import (
    HoldReleased,
    ItemInspected,
    NutMarked,
    NutState,
    PieceDrawn,
    StepDone,
)
from station.outfit.file import Step
from station.outfit.model import Outfit

OutfitEvent = PieceDrawn | ItemInspected | StepDone | NutMarked | HoldReleased


@dataclass(frozen=True, slots=True)
class Mark:
    """Who entered what, and when it happened; `entry` is the id of the event."""

    entry: str
    by: str
    at: datetime
    checked_by: str | None = None


@dataclass(frozen=True, slots=True)
class Drawn:
    """A piece in hand: its own number, the number of its set stamped on it, the date of its last test."""

    mark: Mark
    number: str
    stamped: str | None
    tested: date | None


@dataclass(frozen=True, slots=True)
class Looked:
    """The latest result of an inspection item."""

    mark: Mark
    passed: bool
    remark: str | None


@dataclass(frozen=True, slots=True)
class SetAside:
    """A piece that failed and does not come back in this dive."""

    mark: Mark
    piece: str
    number: str
    item: str


@dataclass(frozen=True, slots=True)
class Release:
    """A hold released by the supervisor."""

    mark: Mark
    reason: str


@dataclass(frozen=True, slots=True)
class Progress:
    """All that has been entered and still counts. Mappings are never changed, only replaced.

    nuts: by (step, stud), since one nut is marked in several steps.
    """

    drawn: Mapping[str, Drawn] = field(default_factory=dict)
    looked: Mapping[str, Looked] = field(default_factory=dict)
    done: Mapping[str, Mark] = field(default_factory=dict)
    nuts: Mapping[tuple[str, int], Mark] = field(default_factory=dict)
    released: Mapping[str, Release] = field(default_factory=dict)
    set_aside: tuple[SetAside, ...] = ()


def is_done(outfit: Outfit, progress: Progress, name: str) -> bool:
    """Say whether an item is passed, a step marked, or every nut of a step marked."""
    if name in outfit.items:
        return name in progress.looked and progress.looked[name].passed
    return name in progress.done or (
        bool(outfit.steps[name].nuts) and not nuts_left(progress, outfit.steps[name])
    )


def nuts_left(progress: Progress, step: Step) -> tuple[int, ...]:
    """Return the studs a step has still to mark."""
    studs = step.nuts.studs if step.nuts else ()
    return tuple(stud for stud in studs if (step.id, stud) not in progress.nuts)


def nut_step(outfit: Outfit, progress: Progress, stud: int, state: NutState) -> Step | None:
    """Return the step that a mark on a nut belongs to: the first that asks for it and has not got it."""
    for step in outfit.nut_steps:
        if step.nuts and step.nuts.mark == state and stud in nuts_left(progress, step):
            return step
    return None


def nut_state(outfit: Outfit, progress: Progress, stud: int) -> NutState | None:
    """Return the latest state of a nut, None before it is on."""
    marks = [step.nuts.mark for step in outfit.nut_steps if step.nuts and (step.id, stud) in progress.nuts]
    return marks[-1] if marks else None


def half_marked(outfit: Outfit, progress: Progress) -> Step | None:
    """Return the step whose nuts are to be marked together and of which only some are."""
    for step in outfit.nut_steps:
        if step.nuts and step.nuts.together and 0 < len(nuts_left(progress, step)) < len(step.nuts.studs):
            return step
    return None
