"""Lines of text to scroll through or to read in a dialog: the ladder, the trail, a dive on paper."""

from collections.abc import Iterator, Sequence
from textwrap import wrap

from textual.content import Content

from station.board.after import trail_of_lane
from station.board.figures import LaneFigures
from station.board.state import Board
from station.console.keyboard import key_of
from station.console.words_ascent import NONE, Named, afterwards
from station.dive.follow import Live
from station.dive.ladder import Ladder, Rung
from station.dive.legs import delay_words
from station.dive.schedule import NoSchedule, Stop
from station.dive.series import EarlierDive, moment_text
from station.dive.text import depth_text, mmss, stops_words
from station.dive.trail import line_words
from station.moments import clock_time

CLASS_WORDS = {
    "normal": "normal",
    "surface_o2_or_air_o2_recommended": "o2",
}
"""The classes of exposure in little room; all the others are exceptional, at least on air."""
OXYGEN_REQUIRED = frozenset(
    {
        "exceptional_air_o2_or_surface_o2_required",
        "exceptional_air_o2_required",
        "exceptional_surface_o2_required",
    }
)
"""The exceptional classes that require oxygen by their names, whether the station has any or not."""
PAGE_WIDTH = 76
"""The columns of a page on the smallest screen that shows everything."""
NO_STOPS = "no stops"
STOPS_ROOM = 12
"""Stops that need more columns stand in a line of their own."""


def where_air_ends() -> str:
    """Return the line of the ladder under which no line is covered by the air."""
    return f"AIR ENDS HERE: no line below is covered with the reserve kept (see {key_of('view.supply')})"


LADDER_WIDTH = 66
"""With less room class and need are left out and the stops stand below: no figure may be cut off."""


def ladder_text(board: Board, one: LaneFigures, width: int = LADDER_WIDTH) -> list[Content]:
    """Return the ladder of leaving times, a line each; in words why there is none."""
    if one.ladder is None:
        words = f"The bottom was left: the stops are at the timekeeper's seat ({key_of('seat.timekeeper')})."
        return [Content(row) for row in wrap(words, width)]
    slim = width < LADDER_WIDTH
    lines: list[Content] = []
    for words, style in _ladder(board, one.ladder, slim=slim):
        parts = wrap(words, width, subsequent_indent="    ") if slim else [words]
        lines += [Content.styled(part, style) for part in parts]
    return lines


def _ladder(board: Board, ladder: Ladder, *, slim: bool) -> Iterator[tuple[str, str]]:
    """Yield each line with its style."""
    kind = "" if slim else f"{'class':<7}{'needs':>6}"
    head = f"  {'row':<8}{'leave by':<9}{'total':>7}  {'surface':<9}{kind}{'over':>8}  {'air':<4}"
    yield head if slim else f"{head}stops", "bold"
    short = next((rung for rung in ladder.rungs if rung.covers is False), None)
    for rung in ladder.rungs:
        if rung is short:
            yield where_air_ends(), "bold reverse"
        style = "bold reverse" if rung.in_force else ""
        stops = ", ".join(f"{stop.depth:g} for {stop.minutes}" for stop in rung.ascent.stops) or NO_STOPS
        line = _rung(rung, slim=slim)
        if len(stops) <= STOPS_ROOM and not slim:
            yield f"{line}{stops}", style
        else:
            yield line, style
            yield f"{'':<10}stops {stops}", style
    if ladder.after is not None:
        for part in wrap(f"then NO SCHEDULE: {ladder.after.reason}", PAGE_WIDTH, subsequent_indent="  "):
            yield part, ""
    yield "> in force, ! EXCEPTIONAL exposure, o2 oxygen advised", ""
    if not slim:
        yield "O2 REQ oxygen required, and chosen; EXC O2 exceptional, and oxygen required", ""
    yield f"needs: scf for everyone's way up; over: scf left beyond it, {NONE} not known", ""
    yield "air: covered or NOT, the reserve kept, leaving at the end of the line", ""
    yield f"stops: {board.setup.tables.unit} for minutes", ""


def _rung(rung: Rung, *, slim: bool) -> str:
    leave = NONE if rung.leave_by is None else clock_time(rung.leave_by)
    surface = NONE if rung.surface_at is None else clock_time(rung.surface_at)
    needs, over = (NONE if scf is None else f"{scf}" for scf in (rung.air_scf, rung.spare_scf))
    air = NONE if rung.covers is None else "yes" if rung.covers else "NOT"
    signs = f"{'>' if rung.in_force else ' '}{'!' if rung.exceptional else ' '}"
    total = mmss(rung.ascent.total_s)
    spent = "" if slim else f"{_class(rung):<7}{needs:>6}"
    return f"{signs}{rung.schedule.name:<8}{leave:<9}{total:>7}  {surface:<9}{spent}{over:>8}  {air:<4}"


def _class(rung: Rung) -> str:
    """Return the class of exposure by the gas of the ascent: what requires oxygen says so on air too."""
    exposure = rung.schedule.exposure
    if rung.exceptional:
        return "EXC O2" if exposure.name in OXYGEN_REQUIRED else "EXCEPT"
    return "O2 REQ" if exposure.exceptional else CLASS_WORDS.get(exposure.name, "normal")


def trail_text(board: Board, one: LaneFigures) -> list[Content]:
    """Return every rule applied to the dive, with source and effect; then what stands, in full."""
    unit, found = board.setup.tables.unit, trail_of_lane(board, one.lane, one.dive.now)
    lines: list[Content] = []
    for line in found:
        lines.append(Content.styled(f"{clock_time(line.at)} {line.rule.upper()}", "bold"))
        lines.append(Content(f"  {line_words(line, unit)}"))
    if not found:
        lines.append(Content("No rule has been applied yet: the trail begins with leaving the surface."))
    full = [
        *((f"LATE {clock_time(delay.due)}", delay_words(delay, unit)) for delay in one.dive.deviations),
        *_in_full(one.dive),
        *afterwards(one),
    ]
    if full:
        lines.append(Content.styled("WHAT STANDS, IN FULL", "bold"))
    lines += [Content.assemble((f"{name}  ", "bold"), words) for name, words in full]
    return lines


def _in_full(dive: Live) -> Iterator[Named]:
    if dive.residual.kind != "single":
        yield "EARLIER", dive.residual.words
    if dive.site.applies:
        yield "ALTITUDE", dive.site.words
    if dive.leads:
        yield "TOGETHER", dive.leads


def side_by_side(board: Board, live: Live | None, paper: Live) -> list[str]:
    """Return a dive on paper beside the live one, one figure a line."""
    unit = board.setup.tables.unit
    on_paper = _figures(paper, unit)
    beside = _figures(live, unit) if live else [NONE] * len(on_paper)
    names = ("depth", "time entered", "schedule", "stops", "total ascent", "group", "class")
    lines = []
    for name, mine, other in zip(names, beside, on_paper, strict=True):
        lines.append(f"{name:<13} now      {mine}")
        lines.append(f"{'':<13} what if  {other}")
    if paper.residual.minutes is None:
        lines.append(paper.residual.words)
    return lines


def _figures(dive: Live, unit: str) -> Sequence[str]:
    schedule = dive.schedule
    depth = f"{depth_text(dive.depth.depth, unit)}, enters as {depth_text(dive.table_depth, unit)}"
    if isinstance(schedule, NoSchedule):
        none = [NONE] * 3
        return (depth, f"{schedule.minutes} min", f"NO SCHEDULE: {schedule.reason}", *none, NONE)
    total = NONE if dive.total_ascent_s is None else mmss(dive.total_ascent_s)
    stops = stops_words((Stop(one.depth, one.minutes) for one in dive.stops), unit)
    group = schedule.group or "none printed"
    return (
        depth,
        f"{schedule.minutes} min",
        schedule.name,
        stops,
        total,
        group,
        schedule.exposure.words,
    )


def earlier_line(board: Board, one: EarlierDive) -> str:
    """Return an earlier dive in one line: when it ended, how deep and long, its group, from where known."""
    depth = depth_text(one.depth, board.setup.tables.unit)
    group = f"group {one.group}" if one.group else "NO GROUP printed"
    return f"{moment_text(one.surfaced)}: {depth} for {one.equivalent_min} min, {group} ({one.source})"
