"""Figures as lines of text. Only words and layout stand here; every number comes from the rooms below."""

from collections.abc import Iterator

from textual.content import Content

from station.board.ascent_figures import chamber_next
from station.board.figures import Figures, LaneFigures
from station.board.state import Board
from station.console.words_ascent import Named, afterwards, asked, chamber_words, reckoned
from station.dive.follow import Live
from station.dive.schedule import NoSchedule, Schedule
from station.dive.site_stops import stops_here
from station.dive.surface import water_stops
from station.dive.text import MARK_WORDS, mark_text, mmss
from station.moments import clock_time
from station.outfit import Row
from station.setup import UnitNames
from station.units import show_depth, to_fsw

NONE = "--"
OLD = " OLD"
LABEL = 10
RANKS = {"SCHEDULE": 1, "WHY": 6, "THEN": 3, "GROUP": 4}
"""What goes first where there is no room for every line: the higher, the sooner."""
STATE_SIGNS: dict[str, str] = {
    "done": "[x] done   ",
    "open": "[ ] NEXT   ",
    "waiting": " .  waits  ",
    "failed": "[!] FAILED ",
    "optional": "[ ] may    ",
    "skipped": " -  left   ",
}
STOP_SIGNS: dict[str, str] = {
    "to come": ".  to come",
    "here": ">  HERE",
    "done": "x  done",
    "left early": "!! LEFT EARLY",
    "passed": "!! PASSED",
}


def label(name: str) -> tuple[str, str]:
    """Return the bold name that a line begins with."""
    return f"{name:<{LABEL}}", "bold"


def line(name: str, words: str) -> Content:
    """Return one line: its name and its words."""
    return Content.assemble(label(name), words)


def depth_of(board: Board, depth: float) -> str:
    """Return a depth of the tables in the station's unit, rounded up."""
    units: UnitNames = board.setup.station.units
    return show_depth(to_fsw(depth, board.setup.tables.unit), units.depth)


def row_text(row: Row, titles: int = 0) -> str:
    """Return a row of the order: sign, word and title."""
    number = f" {row.remark}" if row.kind == "piece" and row.remark else ""
    return f"{STATE_SIGNS[row.state]}{row.title:<{titles}}{number}"


def row_details(board: Board, row: Row) -> list[str]:
    """Return what is to be known of a row: how it is done, what it waits for, who did it."""
    lines = [f"Waits for: {'; '.join(row.waits)}"] if row.waits else []
    if row.mark:
        second = f", looked at by {board.name(row.mark.checked_by)}" if row.mark.checked_by else ""
        remark = f"; {row.remark}" if row.remark and row.kind == "item" else ""
        lines.append(f"{clock_time(row.mark.at)} {board.name(row.mark.by)}{second}{remark}")
    return [*lines, row.how]


def header(board: Board, figures: Figures, drill: str | None) -> str:
    """Return the first line: the operation, whether it is a drill, station time."""
    title = board.opened.title if board.opened else ""
    mark = (
        f"DRILL {drill}  " if drill is not None else "DRILL  " if board.opened and board.opened.drill else ""
    )
    return f"{mark}{clock_time(figures.now)} UTC  {title}, {board.opened.place if board.opened else ''}"


def tab(board: Board, one: LaneFigures) -> str:
    """Return a lane's tab."""
    worst = f" {one.alarms[0].text.split(' ', 1)[0]}" if one.alarms else ""
    return f" {one.lane.number} {board.name(one.lane.plan.diver)}: {one.stage}{worst} "


def dive_figures(board: Board, one: LaneFigures) -> list[tuple[int, Named]]:
    """Return every line of a lane's dive with its rank: the lower, the longer it stays in little room."""
    dive, up = one.dive, one.dive.phase == "at the surface"
    way_up = dive.phase in ("ascending", "at a stop") or up
    deepest = f"{depth_of(board, dive.depth.depth)} ({dive.depth.origin}){_table_depth(board, dive)}"
    ranked: list[tuple[int, Named]] = [(0, named) for named in asked(board, one)]
    ranked.append((0, ("NEXT", next_of_lane(board, one))))
    if one.lane.in_water:
        ranked.append((0, ("DEPTH", _depth(board, one))))
    ranked.append((1, ("DEEPEST", deepest)))
    ranked += [
        (RANKS[named[0]], named) for named in _schedule(board, dive) if not (way_up and named[0] == "THEN")
    ]
    ranked += [(2, named) for named in reckoned(board, one)]
    ranked.append((1, ("ASCENT", _ascent(dive))))
    ranked += [(1, named) for named in afterwards(one)]
    ranked.append((5, ("MARKS", _marks(one))))
    if one.lane.in_water:
        ranked.append((1, ("VOICE", _voice(one))))
    return ranked


def band_lines(board: Board, one: LaneFigures, width: int) -> Iterator[Content]:
    """Yield the lines beside the big clock: what it means, the next mark, the last depth and its age."""
    way = " (counting down)" if one.clock.down else ""
    yield Content.assemble((one.clock.caption, "bold reverse"), way)
    yield next_fitting(board, one, width)
    if one.lane.in_water:
        depth = Content.assemble(("DEPTH ", "bold"), _depth(board, one))
        fits = len(depth) <= width
        yield depth if fits else Content.assemble(("DEPTH ", "bold"), _depth(board, one, read=False))
    elif one.lane.mark("reached_surface"):
        yield Content.assemble(("DEEPEST ", "bold"), depth_of(board, one.dive.depth.depth))
    else:
        plan, unit = one.lane.plan, board.setup.station.units.depth
        planned = f"{show_depth(plan.depth_fsw, unit)}, {plan.time_min} min"
        yield Content.assemble(("PLAN ", "bold"), planned)


def next_fitting(board: Board, one: LaneFigures, width: int) -> Content:
    """Return the next mark for a line of that width: the words beside it give way, so that no time is cut."""
    coming = next_of_lane(board, one)
    forms = (
        Content.assemble(("NEXT ", "bold"), coming),
        Content(coming),
        Content(coming.replace(", due", "")),
    )
    return next((form for form in forms if len(form) <= width), forms[-1])


def next_of_lane(board: Board, one: LaneFigures) -> str:
    """Return the next mark of the dive, of the chamber once the diver is up."""
    if one.dive.next_mark is None:
        coming = chamber_next(board, one.lane, one.chamber, one.dive.now)
        if coming is not None:
            return chamber_words(coming)
    return next_mark(board, one.dive)


def next_mark(board: Board, dive: Live) -> str:
    """Return the next expected mark and when it is due."""
    if dive.next_mark is None:
        return "none, the diver is up"
    words = mark_text(dive.next_mark.name, dive.next_mark.depth, board.setup.tables.unit).upper()
    return words if dive.next_mark.due is None else f"{words}, due {clock_time(dive.next_mark.due)}"


def _depth(board: Board, one: LaneFigures, *, read: bool = True) -> str:
    if one.depth is None:
        return "not read yet"
    unit = board.setup.station.units.depth
    as_read = f" (read {show_depth(one.depth.value, unit)})" if read else ""
    return f"{show_depth(one.depth.corrected, unit)}{as_read}, {mmss(one.depth.age_s)} ago{old_depth(one)}"


def old_depth(one: LaneFigures) -> str:
    """Return the word for a depth that was read too long ago, "" for a fresh one."""
    return OLD if any(alarm.key == "depth silent" for alarm in one.alarms) else ""


def _table_depth(board: Board, dive: Live) -> str:
    if isinstance(dive.schedule, NoSchedule):
        return ""
    return f", table depth {depth_of(board, dive.schedule.table_depth)}"


def _schedule(board: Board, dive: Live) -> Iterator[Named]:
    schedule = dive.schedule
    if isinstance(schedule, NoSchedule):
        yield "SCHEDULE", f"NO SCHEDULE: {schedule.reason}"
        yield (
            "WHY",
            f"deeper: {schedule.fallback.name}; the supervisor decides" if schedule.fallback else NONE,
        )
        yield "THEN", NONE
        yield "GROUP", NONE
        return
    left = "" if dive.row_left_s is None else f", {mmss(dive.row_left_s)} left in it"
    yield "SCHEDULE", f"{schedule.name}{left}: {_stops(board, dive, schedule)}"
    yield "WHY", schedule.why
    yield "THEN", _then(board, dive)
    yield "GROUP", f"{schedule.group or 'NONE PRINTED'}   exposure: {schedule.exposure.words}"


def _stops(board: Board, dive: Live, schedule: Schedule) -> str:
    """Return the stops of a schedule as they are served at the site; with altitude, those printed too."""
    chamber = dive.gas == "surface_oxygen" and schedule.chamber_periods
    printed = water_stops(schedule.stops) if chamber else schedule.stops_on(dive.gas)
    words = stops_here(dive.site, printed, board.setup.tables.unit)
    many = "period" if schedule.chamber_periods == 1 else "periods"
    return f"{words} in the water, {schedule.chamber_periods:g} chamber {many}" if chamber else words


def _then(board: Board, dive: Live) -> str:
    if dive.ahead is None or dive.ahead.next is None:
        return "nothing longer begins"
    if isinstance(dive.ahead.next, NoSchedule):
        return f"NO SCHEDULE: {dive.ahead.next.reason}"
    exceptional = "EXCEPTIONAL EXPOSURE, " if dive.ahead.exceptional_next else ""
    return f"{dive.ahead.next.name}: {exceptional}{_stops(board, dive, dive.ahead.next)}"


def _ascent(dive: Live) -> str:
    if dive.total_ascent_s is None or dive.surface_at is None:
        return NONE
    first = "" if dive.to_first_stop_s is None else f"first stop {mmss(dive.to_first_stop_s)}, "
    when = {
        "on deck": " after the planned time",
        "descending": " if left now",
        "on the bottom": " if left now",
    }
    at = clock_time(dive.surface_at)
    return f"{first}total {mmss(dive.total_ascent_s)}, at surface {at}{when.get(dive.phase, '')}"


def _marks(one: LaneFigures) -> str:
    short = {"left_surface": "LS", "reached_bottom": "RB", "left_bottom": "LB", "reached_surface": "RS"}
    taken = [f"{short[mark.mark]} {clock_time(mark.at)}" for mark in one.lane.marks if mark.mark in short]
    return "  ".join(taken) or f"none yet; first: {MARK_WORDS['left_surface']}"


def _voice(one: LaneFigures) -> str:
    if one.voice_age_s is None:
        return "not checked yet"
    good = "good" if one.lane.voices[-1].good else "LOST"
    old = OLD if any(alarm.key == "voice silent" for alarm in one.alarms) else ""
    return f"{good}, {mmss(one.voice_age_s)} ago{old}"
