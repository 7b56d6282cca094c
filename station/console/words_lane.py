"""What the timekeeper reads of a lane: figures and stops in the room there is, pressures, the plot."""

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from functools import lru_cache

from textual.content import Content

from station.board.figures import Figures, LaneFigures
from station.board.lane_facts import held_at
from station.board.profile import DepthPoint
from station.board.state import Board
from station.console.layout import broken, counted, fitted
from station.console.plot import Axes, Marker, Series, plot
from station.console.words import OLD, STOP_SIGNS, depth_of, dive_figures, next_of_lane
from station.console.words_ascent import chamber_steps, in_chamber
from station.dive.follow import StopLine
from station.dive.schedule import NoSchedule
from station.dive.site_stops import SiteStop
from station.dive.text import mmss
from station.moments import clock_time
from station.supply.figures import GaugeFigures
from station.units import from_fsw, show_depth, show_pressure, to_fsw

BROAD = 62
"""From this width on a stop stands in one row."""
PLANNED = ("on deck", "descending", "on the bottom")
AIR = "AIR   "
PLOTS = 16
"""As many plots are kept as three lanes need at some sizes of the screen."""
BESIDE_THE_CLOCK = ("NEXT", "DEPTH")


def lane_head(board: Board, one: LaneFigures, *, in_hand: bool) -> Content:
    """Return the head of a lane; the one in hand has a sign and is reversed."""
    words = f"LANE {one.lane.number} {board.name(one.lane.plan.diver)}: {one.stage}"
    return Content.styled(f"> {words} <" if in_hand else f"  {words}", "bold reverse" if in_hand else "bold")


def caption(one: LaneFigures) -> str:
    """Return what the lane's clock means."""
    return f"{one.clock.caption}{' (counting down)' if one.clock.down else ''}"


def lane_lines(board: Board, one: LaneFigures, width: int, room: int, *, band: bool) -> list[Content]:
    """Return figures above, stops below; `band`: next mark and depth stand beside the big clock already."""
    head = stops_head(board, one)
    below = stop_rows(board, one, width, max(1, room // 2 - 1))
    ranked = [each for each in dive_figures(board, one) if not (band and each[1][0] in BESIDE_THE_CLOCK)]
    figures = fitted(ranked, width, room - len(below) - 1)
    return [*figures, Content.styled(head[:width], "bold"), *below]


def stops_head(board: Board, one: LaneFigures) -> str:
    """Return what the list of stops is."""
    if one.chamber is not None and in_chamber(board, one):
        return "CHAMBER, the steps to come"
    if one.dive.phase in PLANNED:
        return "STOPS, if left as reckoned above"
    return "STOPS (x: taken)"


def stop_rows(board: Board, one: LaneFigures, width: int, room: int) -> list[Content]:
    """Return the stops, each with due and taken times and what was served; those done go first for room."""
    if one.chamber is not None and in_chamber(board, one):
        return counted([Content(step) for step in chamber_steps(one.chamber, room)], room)
    if isinstance(one.dive.schedule, NoSchedule):
        return [Content("NO SCHEDULE: the tables print no stops")]
    if not one.dive.stops:
        return [Content("no stops: straight to the surface")]
    stops = list(one.dive.stops)
    rows = [_stop(board, one, stop, width) for stop in stops]
    while sum(map(len, rows)) > room and stops[0].state == "done":
        del stops[0], rows[0]
    return counted([row for each in rows for row in each], room)


def _stop(board: Board, one: LaneFigures, stop: StopLine, width: int) -> list[Content]:
    arrive = f"x{clock_time(stop.reached)}" if stop.reached else f" {clock_time(stop.due_arrive)}"
    leave = f"x{clock_time(stop.left)}" if stop.left else f" {clock_time(stop.due_leave)}"
    when = f"{depth_of(board, stop.depth)} {stop.minutes} min  {arrive} to {leave}"
    state = f"{STOP_SIGNS[stop.state]}{', '.join(['', *_served(stop)])}"
    held = held_at(board, one.dive, stop.depth)
    gauge = "" if held is None else _three_depths(board, held)
    if width >= BROAD:
        return [Content(f"{when}  {state}"), *([Content(f"     {gauge}")] if gauge else [])]
    return [Content(row) for row in (when, f"  {state}", f"     {gauge}") if row.strip()]


def _three_depths(board: Board, stop: SiteStop) -> str:
    """Return what a stop is on the gauge and in the table, where the altitude makes these differ."""
    gauge = "" if stop.gauge is None else f"on the gauge {depth_of(board, stop.gauge)}, "
    return f"{gauge}in the table {depth_of(board, stop.printed)}"


def _served(stop: StopLine) -> Iterator[str]:
    """Yield what of a stop is served, left and missing."""
    if stop.state == "here" and stop.wait_s:
        yield f"begins in {mmss(stop.wait_s)}"
    elif stop.state == "here":
        yield f"{mmss(stop.remaining_s)} left"
    elif stop.left:
        yield f"served {mmss(stop.served_s)}"
    if stop.missing_s and stop.state != "here":
        yield f"{mmss(stop.missing_s)} missing"
    if stop.on_oxygen:
        yield "on oxygen"


def other_line(board: Board, one: LaneFigures) -> str:
    """Return a lane that is not in hand, in one line."""
    clock = f"{one.clock.caption} {mmss(one.clock.seconds)}"
    name = board.name(one.lane.plan.diver)
    return f"  LANE {one.lane.number} {name}: {one.stage}  {clock}  NEXT {next_of_lane(board, one)}"


def pressure_lines(board: Board, figures: Figures, width: int, room: int) -> list[Content]:
    """Return the last pressures with their ages, as many gauges in a row as there is room for."""
    air = figures.air
    gauges = [figures.supply.manifold, *figures.supply.banks]
    words = "   ".join(_gauge(board, one, lost=one.id in air.lost).replace(" ", "\0") for one in gauges)
    rows = broken(f"{AIR}{words}", width, " " * len(AIR))
    return counted([Content(row.replace("\0", " ")) for row in rows], room)


def _gauge(board: Board, one: GaugeFigures, *, lost: bool) -> str:
    if one.pressure_psig is None or one.age_s is None:
        return f"{one.name} not read yet"
    signs = f"{' LOST' if lost else ''}{' LOW' if one.below_minimum else ''}{OLD if one.stale else ''}"
    read = show_pressure(one.pressure_psig, board.setup.station.units.pressure)
    return f"{one.name} {read}, {mmss(one.age_s)} ago{signs}"


def depth_plot(
    board: Board, one: LaneFigures, line: Sequence[DepthPoint], width: int, height: int
) -> list[str]:
    """Return the dive drawn, depth downwards, with the stops as they are planned; nothing without room."""
    unit = board.setup.station.units.depth
    until = None if one.lane.mark("reached_surface") else _next_minute(one.dive.now)
    return _drawn(tuple(line), tuple(_markers(board, one.dive.stops, unit)), unit, until, (width, height))


def _next_minute(now: datetime) -> datetime:
    """Return the end of the minute, up to which a plot that goes on stays as it is."""
    return now.replace(second=0, microsecond=0) + timedelta(minutes=1)


@lru_cache(maxsize=PLOTS)
def _drawn(
    line: tuple[DepthPoint, ...],
    stops: tuple[Marker, ...],
    unit: str,
    until: datetime | None,
    room: tuple[int, int],
) -> list[str]:
    points = [(point.at, from_fsw(point.depth_fsw, unit)) for point in line]
    axes = Axes(downwards=True, include=[0], until=until, markers=stops)
    drawn = plot([Series("o", points)], room[0], room[1] - 1, axes)
    return [f"DEPTH over time, {unit}", *drawn] if drawn else []


def _markers(board: Board, stops: Sequence[StopLine], unit: str) -> list[Marker]:
    depths = [(to_fsw(stop.depth, board.setup.tables.unit), stop.minutes) for stop in stops]
    return [
        Marker(from_fsw(depth, unit), f"stop {show_depth(depth, unit)} {minutes} min")
        for depth, minutes in depths
    ]
