"""Undo and correction: what stands on an entry goes first.

An entry is taken back by a further event. It may be taken back only when every later entry of the lane
would still be allowed without it; those that would not are named, and have to be withdrawn first.
"""

from collections.abc import Sequence

from station.errors import Refusal
from station.events import HoldReleased, ItemInspected, NutMarked, PieceDrawn, StepDone
from station.outfit.engine import apply
from station.outfit.model import Outfit
from station.outfit.progress import OutfitEvent, Progress
from station.outfit.rules import check_turn
from station.outfit.waiting import NUT_WORDS, Facts, wrong_time


def check_withdrawal(outfit: Outfit, events: Sequence[OutfitEvent], target: str, facts: Facts) -> None:
    """Return when the entry with id `target` may be withdrawn; Refusal naming what stands on it if not.

    `events` are the outfit events of the lane that still count, in order. Taking back a failed
    inspection is for the supervisor alone: it brings a piece that was set aside back into use.
    """
    event = _find(events, target)
    if line := wrong_time(outfit, _step_of(event), facts.where):
        raise Refusal(f"{words(outfit, event)} cannot be withdrawn: {line}.", [line])
    if isinstance(event, ItemInspected) and not event.passed and "supervisor" not in facts.roles:
        raise Refusal(f"{words(outfit, event)}: only the supervisor withdraws this.", ["the supervisor"])
    _refuse_if_needed(outfit, event, _standing(outfit, events, target, None))


def check_amendment(outfit: Outfit, events: Sequence[OutfitEvent], amended: OutfitEvent) -> None:
    """Return when `amended` may take the place of the entry with its id; Refusal when the order breaks.

    The result of an inspection is not amended: another result is another entry.
    """
    event = _find(events, amended.id)
    if (
        isinstance(event, ItemInspected)
        and isinstance(amended, ItemInspected)
        and event.passed != amended.passed
    ):
        raise Refusal(f"{words(outfit, event)}: a result is not amended; enter the new one.")
    _refuse_if_needed(outfit, event, _standing(outfit, events, event.id, amended))


def words(outfit: Outfit, event: OutfitEvent) -> str:
    """Return an entry as people call it."""
    match event:
        case PieceDrawn(piece=piece, number=number):
            return f"{outfit.pieces[piece].title if piece in outfit.pieces else piece} {number} drawn"
        case ItemInspected(item=name, passed=passed):
            title = f"{outfit.items[name].part}: {outfit.items[name].look}" if name in outfit.items else name
            return f"{title} ({'passed' if passed else 'failed'})"
        case StepDone(step=name):
            return outfit.steps[name].title if name in outfit.steps else name
        case NutMarked(stud=stud, state=state):
            return f"nut {stud} {NUT_WORDS[state]}"
        case HoldReleased(hold=name):
            return f"release of '{outfit.holds[name].title if name in outfit.holds else name}'"


def _find(events: Sequence[OutfitEvent], target: str) -> OutfitEvent:
    for event in events:
        if event.id == target:
            return event
    raise Refusal("No such entry of this outfit, or it is withdrawn already.")


def _step_of(event: OutfitEvent) -> str:
    return event.step if isinstance(event, StepDone) else ""


def _refuse_if_needed(outfit: Outfit, event: OutfitEvent, names: Sequence[str]) -> None:
    """Refuse when entries stand on this one; the refusal lists them in the order to withdraw them."""
    if names:
        raise Refusal(
            f"{words(outfit, event)} cannot change, later entries stand on it; withdraw those first, "
            f"beginning with the latest: {names[-1]}.",
            tuple(reversed(names)),
        )


def _standing(
    outfit: Outfit, events: Sequence[OutfitEvent], target: str, amended: OutfitEvent | None
) -> list[str]:
    """Replay the lane with and without the entry; return what only the full lane allows."""
    full = changed = Progress()
    names = []
    for event in events:
        allowed = _allowed(outfit, full, event)
        full = apply(outfit, full, event)
        other = amended if event.id == target else event
        if other is None:
            continue
        if allowed and not _allowed(outfit, changed, other):
            names.append(words(outfit, event))
        else:
            changed = apply(outfit, changed, other)
    return names


def _allowed(outfit: Outfit, progress: Progress, event: OutfitEvent) -> bool:
    """Say whether the order allows an entry, with all that lies outside the outfit as it was then."""
    undressing = isinstance(event, StepDone) and wrong_time(outfit, event.step, "before") is not None
    facts = Facts(
        today=event.at.date(),
        diver="",
        where="surfaced" if undressing else "before",
        air_pressure_read=True,
    )
    try:
        check_turn(outfit, progress, event, facts)
    except Refusal:
        return False
    return True
