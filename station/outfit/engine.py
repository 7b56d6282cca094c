"""The fold: how each entry moves a lane's progress on, and what falls open again by it."""

from collections.abc import Iterable
from collections.abc import Set as AbstractSet
from dataclasses import replace

from station.events import HoldReleased, ItemInspected, NutMarked, PieceDrawn, StepDone
from station.outfit.model import Outfit, pieces_of
from station.outfit.progress import (
    Drawn,
    Looked,
    Mark,
    OutfitEvent,
    Progress,
    Release,
    SetAside,
    half_marked,
    nut_step,
)


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
