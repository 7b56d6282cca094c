"""How far one diver's inspection and dressing has come: a fold of that lane's outfit events."""

from collections.abc import Iterable, Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field, replace
from datetime import date, datetime

from station.events import (
    HoldReleased,
    ItemInspected,
    NutMarked,
    NutState,
    PieceDrawn,
    StepDone,
)
from station.outfit.graph import Outfit, pieces_of
from station.outfit.model import Step

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


def refold(outfit: Outfit, events: Iterable[object]) -> Progress:
    """Return the progress of a lane's events in order; events of other kinds are passed over."""
    progress = Progress()
    for event in events:
        if isinstance(event, OutfitEvent):
            progress = apply(outfit, progress, event)
    return progress


def apply(outfit: Outfit, progress: Progress, event: OutfitEvent) -> Progress:
    """Return the progress after an event that was admitted; names the outfit does not know change nothing."""
    progress = _broken_pair(outfit, progress, event)
    mark = Mark(event.id, event.by, event.at, event.checked_by if isinstance(event, StepDone) else None)
    match event:
        case PieceDrawn(piece=piece) if piece in outfit.pieces:
            return _drawn(outfit, progress, event, mark)
        case ItemInspected(item=item) if item in outfit.items:
            return _looked(outfit, progress, event, mark)
        case StepDone(step=step) if step in outfit.steps and not outfit.steps[step].nuts:
            return replace(progress, done={**progress.done, step: mark})
        case NutMarked(stud=stud, state=state):
            found = nut_step(outfit, progress, stud, state)
            return replace(progress, nuts={**progress.nuts, (found.id, stud): mark}) if found else progress
        case HoldReleased(hold=hold, reason=reason) if hold in outfit.holds:
            return replace(progress, released={**progress.released, hold: Release(mark, reason)})
    return progress


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
    for step in outfit.nut_steps():
        if step.nuts and step.nuts.mark == state and stud in nuts_left(progress, step):
            return step
    return None


def nut_state(outfit: Outfit, progress: Progress, stud: int) -> NutState | None:
    """Return the latest state of a nut, None before it is on."""
    marks = [step.nuts.mark for step in outfit.nut_steps() if step.nuts and (step.id, stud) in progress.nuts]
    return marks[-1] if marks else None


def half_marked(outfit: Outfit, progress: Progress) -> Step | None:
    """Return the step whose nuts are to be marked together and of which only some are."""
    for step in outfit.nut_steps():
        if step.nuts and step.nuts.together and 0 < len(nuts_left(progress, step)) < len(step.nuts.studs):
            return step
    return None


def _broken_pair(outfit: Outfit, progress: Progress, event: OutfitEvent) -> Progress:
    """Nuts that are to be marked together fall open again when another entry comes between them."""
    half = half_marked(outfit, progress)
    if half is None or (
        isinstance(event, NutMarked) and nut_step(outfit, progress, event.stud, event.state) == half
    ):
        return progress
    return _without(progress, {half.id})


def _drawn(outfit: Outfit, progress: Progress, event: PieceDrawn, mark: Mark) -> Progress:
    progress = _start_over(outfit, progress, event.piece)
    drawn = Drawn(mark, event.number, event.stamped, event.tested)
    return replace(progress, drawn={**progress.drawn, event.piece: drawn})


def _looked(outfit: Outfit, progress: Progress, event: ItemInspected, mark: Mark) -> Progress:
    item = outfit.items[event.item]
    if not event.passed and item.remedy == "replace" and item.piece in progress.drawn:
        aside = SetAside(mark, item.piece, progress.drawn[item.piece].number, item.id)
        progress = _start_over(outfit, progress, item.piece)
        progress = replace(
            progress,
            drawn={piece: drawn for piece, drawn in progress.drawn.items() if piece != item.piece},
            set_aside=(*progress.set_aside, aside),
        )
    if not event.passed:
        progress = _without(progress, _release_and_after(outfit))
    looked = Looked(mark, event.passed, event.remark)
    return replace(progress, looked={**progress.looked, event.item: looked})


def _start_over(outfit: Outfit, progress: Progress, piece: str) -> Progress:
    """Forget what was found of a piece, what was done with it and what stands on that.

    A released hold that concerned the piece stands again: the release was given for that one, not for
    its successor.
    """
    used = [step.id for step in outfit.steps.values() if piece in step.uses]
    fallen = _release_and_after(outfit).union(used, *(outfit.after[name] for name in used))
    progress = _without(progress, fallen)
    items = {item.id for item in outfit.items.values() if piece in pieces_of(item)}
    ended = {hold.id for hold in outfit.holds.values() if hold.test_of == piece or piece in hold.same_stamp}
    return replace(
        progress,
        looked={name: looked for name, looked in progress.looked.items() if name not in items},
        released={name: release for name, release in progress.released.items() if name not in ended},
    )


def _release_and_after(outfit: Outfit) -> frozenset[str]:
    """Return what a defect found late always takes back: the word 'ready to dive' and what follows it."""
    return outfit.after[outfit.release.id] | {outfit.release.id}


def _without(progress: Progress, steps: AbstractSet[str]) -> Progress:
    return replace(
        progress,
        done={name: mark for name, mark in progress.done.items() if name not in steps},
        nuts={key: mark for key, mark in progress.nuts.items() if key[0] not in steps},
    )
