"""What bears on an ascent, as lines of text: earlier dives, delays, oxygen, chamber, cards, ladder, trail."""

from collections.abc import Iterator

from station.board.after import OpenCard
from station.board.ascent_figures import ChamberNext, chamber_next
from station.board.figures import Figures, LaneFigures
from station.board.state import Board
from station.console.keyboard import key_of
from station.dive.cards import ClockNow
from station.dive.chamber import ChamberLive, Interval
from station.dive.chamber_marks import chamber_mark_text
from station.dive.follow import Live
from station.dive.legs import delay_words
from station.dive.oxygen_now import OxygenNow
from station.dive.schedule import Schedule
from station.dive.series import Residual
from station.dive.text import depth_text, hmm, mmss
from station.events import Gas
from station.law.after import ObservedNow
from station.moments import clock_time
from station.units import show_depth

NONE = "--"
LABEL = 10
GAS_WORDS: dict[Gas, str] = {
    "air": "air",
    "air_oxygen": "air, then oxygen in the water",
    "surface_oxygen": "air, then oxygen in the chamber (surface decompression)",
}
Named = tuple[str, str]
"""A line of the dive: its name and its words."""


def asked(board: Board, one: LaneFigures) -> Iterator[Named]:
    """Yield what must be answered or acted upon now, above everything else."""
    dive, unit = one.dive, board.setup.tables.unit
    if dive.ask_where:
        yield "HELD?", f"WHERE IS THE DIVER HELD? Ask, then key {key_of('place')} and the depth"
    if dive.held:
        mark = one.lane.marks[-1]
        unit_shown = board.setup.station.units.depth
        where = "" if mark.depth_fsw is None else f" at {show_depth(mark.depth_fsw, unit_shown)}"
        yield (
            "HELD",
            f"since {clock_time(mark.at)}{where}; key {key_of('place')} when the diver is moving again",
        )
    if dive.oxygen is not None and dive.phase in ("ascending", "at a stop"):
        yield "OXYGEN", oxygen_words(dive.oxygen)
    if one.chamber is not None:
        yield from chamber_lines(one.chamber)
    if dive.phase != "at the surface":
        yield from _late(dive, unit)


def reckoned(board: Board, one: LaneFigures) -> Iterator[Named]:
    """Yield what the time that enters the tables is made of, and whose figures lead."""
    dive = one.dive
    if dive.residual.kind != "single":
        yield "EARLIER", residual_words(dive.residual, board.setup.tables.unit)
    if dive.residual_min or dive.delay_min or dive.others_min:
        yield "ENTERED", entered_words(dive)
    if dive.phase == "at the surface":
        yield from _late(dive, board.setup.tables.unit)
    if dive.leads:
        yield "TOGETHER", dive.leads
    if dive.gas != "air":
        yield "GAS", GAS_WORDS[dive.gas]
    if dive.site.applies:
        yield "ALTITUDE", altitude_words(board, dive)


def _late(dive: Live, unit: str) -> Iterator[Named]:
    """Yield the latest delay; all of them stand with the trail."""
    late = [delay for delay in dive.deviations if delay.minutes or delay.running]
    if late:
        more = f" (+{len(late[:-1])} before: key {key_of('view.trail')})" if late[:-1] else ""
        yield "LATE", f"{delay_words(late[-1], unit)}{more}"


def afterwards(one: LaneFigures) -> Iterator[Named]:
    """Yield what counts once the diver has surfaced."""
    if one.interval_s is not None:
        schedule = one.dive.schedule
        group = schedule.group if isinstance(schedule, Schedule) else None
        yield "INTERVAL", f"{mmss(one.interval_s)} since surfaced, group {group or NONE}"
    if one.observation is not None:
        yield "OBSERVED", observed_words(one.observation)
    wait = one.wait_before_flying
    if wait is not None:
        yield "FLYING", wait.words


def observed_words(seen: ObservedNow) -> str:
    """Return how long the diver is still observed, how, and by which paragraph."""
    rule = f"{seen.rule.what} ({seen.rule.paragraph})"
    if seen.left_s is None or seen.until is None:
        return f"{seen.rule.minutes} min from leaving the chamber: {rule}"
    if not seen.left_s:
        return f"the {seen.rule.minutes} min ran out at {clock_time(seen.until)}: {rule}"
    return f"{mmss(seen.left_s)} left, until {clock_time(seen.until)}: {rule}"


def residual_words(left: Residual, unit: str) -> str:
    """Return what an earlier dive adds: group, interval, row, minutes; what to do where it has no figure."""
    if left.minutes is None:
        return f"NO DIVE CAN BE RECKONED, key {key_of('earlier')} - {left.words}"
    if left.old_group and left.new_group and left.interval_min is not None and left.row_depth:
        return (
            f"{left.old_group} after {hmm(left.interval_min)} is {left.new_group}, "
            f"row {left.row_depth} {unit}: {left.minutes} min"
        )
    return f"{left.minutes} min: {left.words}"


def entered_words(dive: Live) -> str:
    """Return the time that enters the tables and its parts; on deck, that of the planned time."""
    if dive.phase == "on deck":
        return f"{dive.schedule.minutes} min for the planned time, {dive.residual_min} of them residual"
    parts = [f"{dive.residual_min} residual + {dive.bottom_min} bottom"]
    if dive.others_min:
        parts = [f"longest of {parts[0]} and {dive.others_min} of the others"]
    if dive.delay_min:
        parts.append(f"{dive.delay_min} delay")
    return f"{dive.entered_min} min = {' + '.join(parts)}"


def altitude_words(board: Board, dive: Live) -> str:
    """Return the site's altitude, and as how deep the dive counts there."""
    site, unit = dive.site, board.setup.tables.unit
    return (
        f"{site.site_ft:,.0f} ft: {depth_text(site.depth, unit)} counts as "
        f"{depth_text(site.equivalent, unit)} at sea level"
    )


def oxygen_words(oxygen: OxygenNow) -> str:
    """Return the time on oxygen in the water, and the break that runs or comes."""
    if oxygen.lost:
        return f"LOST after {mmss(oxygen.served_s)} on it: the rest is served on air"
    words = f"{oxygen.state}, {mmss(oxygen.served_s)} served, {mmss(oxygen.remaining_s)} to go"
    if oxygen.state == "air break":
        return f"{words}; AIR BREAK {mmss(oxygen.break_left_s)} left"
    if oxygen.break_at is not None:
        return f"{words}; break at {clock_time(oxygen.break_at)}"
    return words


def chamber_lines(chamber: ChamberLive) -> Iterator[Named]:
    """Yield the interval to the chamber, the time on its oxygen, and what was cut short."""
    if chamber.interval is not None and chamber.depth is None:
        yield "CHAMBER", interval_words(chamber.interval)
    elif chamber.phase != "in the water":
        where = "" if chamber.depth is None else f" at {chamber.depth} fsw"
        words = f"{chamber.phase}{where}, {mmss(chamber.served_s)} served, {mmss(chamber.left_s)} to go"
        if chamber.break_left_s is not None:
            words = f"{words}; AIR BREAK {mmss(chamber.break_left_s)} left"
        yield "CHAMBER", words
    for words in chamber.missing:
        yield "MISSING", words


def chamber_steps(chamber: ChamberLive, room: int) -> Iterator[str]:
    """Yield the steps of the chamber to come, each with when it is due."""
    for step in chamber.to_come[: max(1, room)]:
        where = f" {step.depth} fsw" if step.depth else ""
        yield f"{clock_time(step.due)}  {step.what}{where}"
    if not chamber.to_come:
        yield "none: see what is missing, or the plan is given up; the supervisor and the medical officer"


def interval_words(interval: Interval) -> str:
    """Return the way to the chamber against its two limits."""
    gone = f"{mmss(interval.elapsed_s)} gone"
    if interval.left_of_5_s >= 0:
        return f"{gone}, {mmss(interval.left_of_5_s)} left of 5:00; to 50 fsw in the chamber"
    if interval.left_of_7_s >= 0:
        return f"{gone}, 5:00 PASSED, {mmss(interval.left_of_7_s)} left of 7:00"
    return f"{gone}, 7:00 PASSED: {interval.penalty.words}"


def in_chamber(board: Board, one: LaneFigures) -> bool:
    """Whether the marks to come are those of the chamber: the diver is out of the water."""
    if one.lane.mark("reached_surface") is None:
        return False
    return chamber_next(board, one.lane, one.chamber, one.dive.now) is not None


def chamber_words(coming: ChamberNext) -> str:
    """Return the mark of the chamber that comes next, when it is due, and how long until then."""
    words = chamber_mark_text(*coming.allowed[0]).upper()
    if coming.due is None:
        return words
    when = f"LATE {mmss(coming.late_s)}" if coming.late_s else f"in {mmss(coming.in_s)}"
    return f"{words} {clock_time(coming.due)}, {when}"


def clock_words(clock: ClockNow) -> str:
    """Return a card's clock: how long it has run, what it passed, what it runs down to."""
    if clock.elapsed_s is None:
        return f"{NONE:>7}  {clock.words}: not begun"
    words = f"{mmss(clock.elapsed_s):>7}  {clock.words}"
    if clock.passed:
        words = f"{words}; PASSED: {clock.passed[-1].words}"
    if clock.next is not None and clock.left_s is not None:
        words = f"{words}; {mmss(clock.left_s)} left: {clock.next.words}"
    return words


def card_line(lane: int, one: OpenCard) -> str:
    """Return an open card in one line for the alarm strip: its first clock, and one that runs to a limit."""
    clocks = [clock for clock in one.clocks if clock.elapsed_s is not None]
    limited = [clock for clock in clocks if clock.left_s is not None]
    shown = [f"{mmss(clock.elapsed_s or 0)} {clock.words}" for clock in clocks[:1]]
    shown += [f"{mmss(clock.left_s or 0)} left" for clock in limited[:1]]
    return f"CARD lane {lane}: {one.card.title}, {', '.join(shown)} (key {key_of('card')})"


def card_lines(figures: Figures) -> list[str]:
    """Return every open card of every lane, one line each."""
    return [card_line(lane.lane.number, one) for lane in figures.lanes for one in lane.cards]
