"""Whether an entry is allowed: who may make it, and whether its turn has come."""

from collections.abc import Sequence
from typing import NoReturn

from station.errors import Refusal
from station.events import HoldReleased, ItemInspected, NutMarked, PieceDrawn, Role, StepDone
from station.outfit.file import Step
from station.outfit.model import Outfit
from station.outfit.progress import (
    OutfitEvent,
    Progress,
    half_marked,
    is_done,
    nut_state,
    nut_step,
    nuts_left,
)
from station.outfit.waiting import NUT_WORDS, Facts, left_open, not_drawn, together, unmet, waits

SHOWN = 3
"""How many open points the sentence itself names; the refusal's list has them all."""
CHECKERS: frozenset[Role] = frozenset({"tender", "supervisor"})


def check(outfit: Outfit, progress: Progress, event: OutfitEvent, facts: Facts) -> None:
    """Return when the entry is allowed now; Refusal with all that is missing when it is not."""
    check_people(outfit, progress, event, facts)
    check_turn(outfit, progress, event, facts)


def check_turn(outfit: Outfit, progress: Progress, event: OutfitEvent, facts: Facts) -> None:
    """Refuse an entry whose turn has not come, whoever makes it."""
    match event:
        case PieceDrawn():
            _check_drawn(outfit, progress, event, facts)
        case ItemInspected():
            _check_item(outfit, progress, event, facts)
        case StepDone():
            _check_step(outfit, progress, event, facts)
        case NutMarked():
            _check_nut(outfit, progress, event, facts)
        case HoldReleased():
            _check_hold(outfit, progress, event, facts)


def check_people(outfit: Outfit, progress: Progress, event: OutfitEvent, facts: Facts) -> None:
    """Refuse an entry made by somebody whose it is not.

    Anyone may draw a piece or say that an item failed.
    """
    match event:
        case ItemInspected(item=name, passed=True) if name in outfit.items:
            item = outfit.items[name]
            _need_role(f"{item.part}: {item.look}", item.roles, event, facts)
        case StepDone(step=name) if name in outfit.steps:
            step = outfit.steps[name]
            _need_role(step.title, step.roles, event, facts)
            _need_second(step, event, facts)
        case NutMarked():
            if step_found := nut_step(outfit, progress, event.stud, event.state):
                _need_role(step_found.title, step_found.roles, event, facts)
                _need_same(step_found, progress, event)
        case HoldReleased(hold=name) if name in outfit.holds and not outfit.holds[name].absolute:
            if "supervisor" not in facts.roles:
                raise Refusal("Only the supervisor releases a hold.", ["the supervisor"])


def _need_role(title: str, roles: Sequence[Role], event: OutfitEvent, facts: Facts) -> None:
    if "diver" in roles and event.by == facts.diver:
        return
    if tuple(roles) == ("diver",):
        raise Refusal(f"{title}: only the diver of this lane can say so.", ["the diver's own word"])
    if event.by == facts.diver:
        raise Refusal(
            f"{title}: the diver does not tend himself; a {roles[0]} enters this.", [f"a {roles[0]}"]
        )
    if not facts.roles & set(roles):
        who = " or ".join(roles)
        raise Refusal(f"{title}: this is for the {who} to enter.", [f"the {who}"])


def _need_second(step: Step, event: StepDone, facts: Facts) -> None:
    if event.checked_by is None:
        if step.second_person:
            raise Refusal(f"{step.title}: a second person looks and is named.", ["who checked it"])
        return
    if event.checked_by == event.by:
        raise Refusal(f"{step.title}: somebody else than {event.by} has to check it.", ["a second person"])
    if event.checked_by == facts.diver or not facts.checker_roles & CHECKERS:
        raise Refusal(
            f"{step.title}: the check is for another tender or the supervisor.", ["a second person"]
        )


def _need_same(step: Step, progress: Progress, event: NutMarked) -> None:
    """One tender tries all the nuts: common practice, no source."""
    if step.nuts and step.nuts.one_person:
        for (name, _), mark in progress.nuts.items():
            if name == step.id and mark.by != event.by:
                raise Refusal(f"{step.title}: one person does all of them, {mark.by} began.", [mark.by])


def _check_drawn(outfit: Outfit, progress: Progress, event: PieceDrawn, facts: Facts) -> None:
    if event.piece not in outfit.pieces:
        raise Refusal(f"No piece '{event.piece}' in the outfit {outfit.file.title}.")
    title = outfit.pieces[event.piece].title
    _need_before(title, facts)
    if half := half_marked(outfit, progress):
        _wait(title, [together(outfit, progress, half)])
    number = event.number.casefold()
    for aside in progress.set_aside:
        if aside.piece == event.piece and aside.number.casefold() == number:
            raise Refusal(
                f"{title} {event.number} was set aside; draw another.", ["a piece with another number"]
            )
    drawn = progress.drawn.get(event.piece)
    if drawn and drawn.number.casefold() == number:
        raise Refusal(f"{title} {event.number} is drawn already.", ["a piece with another number"])
    if event.tested and event.tested > facts.today:
        raise Refusal(
            f"{title} {event.number}: its test date {event.tested} is still to come.", ["its test date"]
        )


def _check_item(outfit: Outfit, progress: Progress, event: ItemInspected, facts: Facts) -> None:
    if event.item not in outfit.items:
        raise Refusal(f"No inspection item '{event.item}' in the outfit {outfit.file.title}.")
    item = outfit.items[event.item]
    title = f"{item.part}: {item.look}"
    if not event.passed:  # bad news is taken at any turn, as long as there is a piece it can be about
        _need_before(title, facts)
        if item.piece not in progress.drawn:
            _wait(title, [not_drawn(outfit, progress, item.piece)])
        return
    _need_before(title, facts)
    if is_done(outfit, progress, item.id):
        raise Refusal(f"{title}: passed already.")
    _wait(title, waits(outfit, progress, item.id, facts))


def _check_step(outfit: Outfit, progress: Progress, event: StepDone, facts: Facts) -> None:
    if event.step not in outfit.steps:
        raise Refusal(f"No step '{event.step}' in the outfit {outfit.file.title}.")
    step = outfit.steps[event.step]
    if step.nuts:
        raise Refusal(f"{step.title}: this is marked nut by nut.", [left_open(outfit, progress, step.id)])
    if step.section != "undressing":
        _need_before(step.title, facts)
    if is_done(outfit, progress, step.id):
        raise Refusal(f"{step.title}: done already.")
    if later := too_late(outfit, progress, step):
        raise Refusal(f"{step.title}: too late, {later} is done; undo that first.", [f"{later} undone"])
    _wait(step.title, waits(outfit, progress, step.id, facts))


def too_late(outfit: Outfit, progress: Progress, step: Step) -> str | None:
    """Return the title of a step already done before which an optional one should have come."""
    for name, needs in outfit.needs.items():
        if step.optional and step.id in needs and is_done(outfit, progress, name):
            return outfit.steps[name].title if name in outfit.steps else name
    return None


def _check_nut(outfit: Outfit, progress: Progress, event: NutMarked, facts: Facts) -> None:
    studs = [stud.number for stud in outfit.file.ring.studs] if outfit.file.ring else []
    if event.stud not in studs:
        raise Refusal(f"There is no stud {event.stud} on this outfit.")
    _need_before(f"Nut {event.stud}", facts)
    nut, words = f"Nut {event.stud}", NUT_WORDS[event.state]
    if nut_state(outfit, progress, event.stud) == event.state:
        raise Refusal(f"{nut} is marked {words} already.")
    step = nut_step(outfit, progress, event.stud, event.state)
    if step is None:
        raise Refusal(f"{nut} is not to be marked {words} (any more) in this order.")
    _wait(f"{nut} {words}", nut_waits(outfit, progress, step, event.stud, facts))


def nut_waits(outfit: Outfit, progress: Progress, step: Step, stud: int, facts: Facts) -> tuple[str, ...]:
    """Return what one nut of a step still waits for: the step's own needs and its run."""
    left = nuts_left(progress, step)
    first = [
        f"nut {one} first: {'-'.join(map(str, run))} in this order"
        for run in (step.nuts.runs if step.nuts else ())
        if stud in run
        for one in run[: run.index(stud)]
        if one in left
    ]
    return (*waits(outfit, progress, step.id, facts), *first)


def _check_hold(outfit: Outfit, progress: Progress, event: HoldReleased, facts: Facts) -> None:
    if event.hold not in outfit.holds:
        raise Refusal(f"No hold '{event.hold}' in the outfit {outfit.file.title}.")
    hold = outfit.holds[event.hold]
    missing = tuple(dict.fromkeys(unmet(outfit, progress, hold, facts)))
    if hold.absolute:
        raise Refusal(f"{hold.title}: nobody can release this hold.", missing)
    if hold.id in progress.released:
        raise Refusal(f"{hold.title}: released already.")
    _need_before(hold.title, facts)
    if half := half_marked(outfit, progress):
        _wait(hold.title, [together(outfit, progress, half)])
    if hold.test_of and hold.test_of not in progress.drawn:
        _wait(hold.title, missing)  # a release is for the piece in hand, never for one still to be drawn
    if not missing:
        raise Refusal(f"{hold.title}: met, there is nothing to release.")


def _need_before(title: str, facts: Facts) -> None:
    if facts.where != "before":
        raise Refusal(f"{title}: the diver has left the surface; note an incident if something is wrong.")


def _wait(title: str, missing: Sequence[str]) -> None:
    if missing:
        _refuse_waiting(title, missing)


def _refuse_waiting(title: str, missing: Sequence[str]) -> NoReturn:
    more = f"; and {len(missing) - SHOWN} more" if len(missing) > SHOWN else ""
    raise Refusal(f"{title}: waiting for {'; '.join(missing[:SHOWN])}{more}", missing)
