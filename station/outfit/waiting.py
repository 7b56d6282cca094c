"""What an entry waits for, in the trade's words."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from station.events import NutState, Role
from station.outfit.file import LEFT_SURFACE, Hold, Step
from station.outfit.model import Outfit, pieces_of, section_of
from station.outfit.progress import Progress, half_marked, is_done, nuts_left

Where = Literal["before", "in_water", "surfaced"]

NUT_WORDS: dict[NutState, str] = {
    "hand_tight": "hand tight",
    "wrenched": "wrenched",
    "tried": "tried",
    "off": "taken off",
    "back_on": "back on",
}


AIR_READ = "air on and its supply pressure read"


@dataclass(frozen=True, slots=True)
class Facts:
    """What the rest of the station knows of a lane at this moment.

    today: the calendar day at the station, for test dates. where: before the mark of left surface, from
    that mark to reached surface, or after it. air_pressure_read: the diver's air is on and its supply
    pressure has been read, as the supply room judges it; air_open: what is open of that, in words.
    roles: of the person who enters; checker_roles: of the person named in `checked_by`; the views need
    neither.
    """

    today: date
    diver: str
    where: Where = "before"
    air_pressure_read: bool = False
    air_open: str = AIR_READ
    roles: frozenset[Role] = frozenset()
    checker_roles: frozenset[Role] = frozenset()


def waits(outfit: Outfit, progress: Progress, name: str, facts: Facts) -> tuple[str, ...]:
    """Return everything an item or step still waits for, earliest in the order of the file first."""
    lines = [*_wrong_time(outfit, name, facts), *_pair(outfit, progress, name)]
    node = outfit.node(name)
    lines += (not_drawn(outfit, progress, piece) for piece in pieces_of(node) if piece not in progress.drawn)
    lines += open_before(outfit, progress, name)
    lines += (
        line
        for hold in standing(outfit, progress, name, facts)
        for line in unmet(outfit, progress, hold, facts)
    )
    return tuple(dict.fromkeys(lines))


def open_before(outfit: Outfit, progress: Progress, name: str) -> Iterator[str]:
    """Yield what is required before an entry, however far, and not done."""
    for one in outfit.before[name]:
        if not outfit.optional(one) and not is_done(outfit, progress, one):
            yield left_open(outfit, progress, one)


def standing(outfit: Outfit, progress: Progress, name: str, facts: Facts) -> tuple[Hold, ...]:
    """Return the holds that bar an entry now: condition not met and not released."""
    return tuple(
        hold
        for hold in outfit.barred.get(name, ())
        if (hold.absolute or hold.id not in progress.released) and any(unmet(outfit, progress, hold, facts))
    )


def unmet(outfit: Outfit, progress: Progress, hold: Hold, facts: Facts) -> Iterator[str]:
    """Yield what a hold still asks for."""
    for name in hold.until:
        if not is_done(outfit, progress, name):
            yield left_open(outfit, progress, name)
    if hold.test_of:
        yield from _test(outfit, progress, hold.test_of, facts.today)
    yield from stamps_apart(outfit, progress, hold.same_stamp).values()
    if hold.fact and not getattr(facts, hold.fact):
        yield facts.air_open


def left_open(outfit: Outfit, progress: Progress, name: str) -> str:
    """Return one open item or step in words: 'nuts not yet tried: 3, 7, 12'."""
    if name in outfit.items:
        item = outfit.items[name]
        looked = progress.looked.get(name)
        if looked and not looked.passed:
            return f"{item.part} failed ({item.look}): {item.fails}"
        return f"{item.part} not yet inspected: {item.look}"
    step = outfit.steps[name]
    if not step.nuts:
        return f"{step.title}: not yet done"
    left = nuts_left(progress, step)
    again = " again" if step.id in outfit.again else ""
    nuts = "nut" if len(left) == 1 else "nuts"
    return f"{nuts} not yet {NUT_WORDS[step.nuts.mark]}{again}: {', '.join(map(str, left))}"


def not_drawn(outfit: Outfit, progress: Progress, piece: str) -> str:
    """Return in words that a piece is not in hand, and why."""
    title = outfit.pieces[piece].title
    aside = [one.number for one in progress.set_aside if one.piece == piece]
    return f"{title}: {aside[-1]} is set aside, draw another" if aside else f"{title}: not yet drawn"


def piece_faults(outfit: Outfit, progress: Progress, piece: str, facts: Facts) -> tuple[str, ...]:
    """Return what bars a drawn piece itself, test date or stamp, so that another would have to be drawn."""
    lines: list[str] = []
    for hold in outfit.holds.values():
        if hold.absolute or hold.id not in progress.released:
            if hold.test_of == piece and piece in progress.drawn:
                lines += _test(outfit, progress, piece, facts.today)
            lines += (
                line for one, line in stamps_apart(outfit, progress, hold.same_stamp).items() if one == piece
            )
    return tuple(dict.fromkeys(lines))


def _test(outfit: Outfit, progress: Progress, piece: str, today: date) -> Iterator[str]:
    """Yield why the test of a piece is not in date. The last day of the interval still counts."""
    title, test, drawn = outfit.pieces[piece].title, outfit.pieces[piece].test, progress.drawn.get(piece)
    if drawn is None:
        yield not_drawn(outfit, progress, piece)
    elif test and drawn.tested is None:
        yield f"{title} {drawn.number}: no date of its {test.what}"
    elif test and drawn.tested and drawn.tested > today:
        yield f"{title} {drawn.number}: the date of its {test.what}, {drawn.tested}, is still to come"
    elif test and drawn.tested and today > (due := drawn.tested + timedelta(days=test.every_days)):
        yield f"{title} {drawn.number}: {test.what} was due by {due} (last tested {drawn.tested})"


def stamps_apart(outfit: Outfit, progress: Progress, pieces: tuple[str, ...]) -> dict[str, str]:
    """Return the drawn pieces whose stamp is unknown or not that of the set, with the reason.

    The set's number is the one most of them carry; with a tie nobody can say which, so all are named.
    """
    stamps = {piece: progress.drawn[piece].stamped for piece in pieces if piece in progress.drawn}
    known = Counter(stamp for stamp in stamps.values() if stamp is not None).most_common()
    tie = len(known) > 1 and known[0][1] == known[1][1]
    apart: dict[str, str] = {}
    for piece, stamp in stamps.items():
        title = outfit.pieces[piece].title
        if stamp is None:
            apart[piece] = f"{title} {progress.drawn[piece].number}: stamped number not entered"
        elif tie:
            apart[piece] = f"{title}: stamped {stamp}, and the pieces differ"
        elif stamp != known[0][0]:
            apart[piece] = f"{title}: stamped {stamp}, the others {known[0][0]}"
    return apart


def wrong_time(outfit: Outfit, name: str, where: Where) -> str | None:
    """Return why an entry's side of the dive is not now, or None."""
    if name in outfit.steps and section_of(outfit.steps[name]) == "undressing":
        return None if where == "surfaced" else "the mark of reached surface"
    return None if where == "before" else "the diver has left the surface"


def _wrong_time(outfit: Outfit, name: str, facts: Facts) -> Iterator[str]:
    if line := wrong_time(outfit, name, facts.where):
        yield line


def _pair(outfit: Outfit, progress: Progress, name: str) -> Iterator[str]:
    half = half_marked(outfit, progress)
    if half and half.id != name:
        yield together(outfit, progress, half)


def together(outfit: Outfit, progress: Progress, half: Step) -> str:
    """Return in words which nut must be marked now, before anything else."""
    return f"{left_open(outfit, progress, half.id)} (together with the last one, nothing in between)"


def open_for_dive(outfit: Outfit, progress: Progress, facts: Facts) -> tuple[str, ...]:
    """Return everything required that still bars the mark of left surface; empty when the diver may leave."""
    lines = [not_drawn(outfit, progress, piece) for piece in outfit.pieces if piece not in progress.drawn]
    for name in (*outfit.items, *outfit.steps):
        undressing = section_of(outfit.node(name)) == "undressing"
        if not undressing and not outfit.optional(name) and not is_done(outfit, progress, name):
            lines.append(left_open(outfit, progress, name))
    for hold in standing(outfit, progress, LEFT_SURFACE, facts):
        lines += unmet(outfit, progress, hold, facts)
    return tuple(dict.fromkeys(lines))


def open_for_undress(outfit: Outfit, progress: Progress) -> tuple[str, ...]:
    """Return the undressing steps still open."""
    return tuple(
        left_open(outfit, progress, step.id)
        for step in outfit.steps.values()
        if step.section == "undressing" and not step.optional and not is_done(outfit, progress, step.id)
    )


def ready(outfit: Outfit, progress: Progress) -> bool:
    """Say whether 'ready to dive' is given and nothing it stands on has fallen open since."""
    release = outfit.release.id
    return is_done(outfit, progress, release) and not any(open_before(outfit, progress, release))
