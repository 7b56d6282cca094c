"""What the supervisor reads: lanes small, readiness, close-out, ladder against air, crew and calls."""

from collections.abc import Iterator, Sequence

from textual.content import Content

from station.board.close_out import close_out
from station.board.figures import Figures, LaneFigures
from station.board.state import Board
from station.console.layout import broken, shortened
from station.console.words import depth_of, next_of_lane, old_depth
from station.dive.ladder import Ladder, Rung
from station.dive.schedule import NoSchedule
from station.dive.text import mmss
from station.journal.interface import Entry
from station.moments import clock_time
from station.setup import call_list_lacks
from station.units import show_depth

NONE = "--"
LANE_ROWS = 6
"""Rows of a lane told in full."""
WIDE = 56
"""From this width on a rung says how much air is over."""


def head(words: str) -> Content:
    """Return the head of a part."""
    return Content.styled(words, "bold underline")


def lanes_small(board: Board, figures: Figures, in_hand: int, width: int, room: int) -> list[Content]:
    """Return every lane in a few rows, in two where there is not room for more."""
    lines = [head("LANES")]
    for one in figures.lanes:
        here = one.lane.number == in_hand
        rows = list(_lane(board, one, width, here=here))
        lines += rows if len(figures.lanes) * LANE_ROWS < room else rows[:2]
    return lines if figures.lanes else [*lines, Content("no dive is planned yet")]


def _lane(board: Board, one: LaneFigures, width: int, *, here: bool) -> Iterator[Content]:
    sign = ">" if here else " "
    words = f"{sign} {one.lane.number} {board.name(one.lane.plan.diver)}: {one.stage}"
    yield Content.styled(words[:width], "bold")
    if one.phase in ("signed", "called off"):
        return
    yield Content(f"    {one.clock.caption} {mmss(one.clock.seconds)}"[:width])
    yield from (Content(row) for row in broken(f"    NEXT {next_of_lane(board, one)}", width, "      "))
    if one.lane.in_water:
        yield from (Content(row) for row in broken(f"    {_where(board, one)}", width, "      "))


def _where(board: Board, one: LaneFigures) -> str:
    unit = board.setup.station.units.depth
    depth = "depth not read yet"
    if one.depth is not None:
        depth = f"{show_depth(one.depth.corrected, unit)}, {mmss(one.depth.age_s)} ago{old_depth(one)}"
    schedule = one.dive.schedule
    name = "NO SCHEDULE" if isinstance(schedule, NoSchedule) else schedule.name
    left = "" if one.dive.row_left_s is None else f", {mmss(one.dive.row_left_s)} left in it"
    return f"{depth}; deepest {depth_of(board, one.dive.depth.depth)}; {name}{left}"


def readiness(figures: Figures, width: int) -> list[Content]:
    """Return what every lane that has not dived waits for, with its holds; nothing once all have."""
    lines: list[Content] = []
    for one in figures.lanes:
        if one.phase not in ("dressing", "ready"):
            continue
        number = f"lane {one.lane.number}"
        if one.phase == "ready":
            lines.append(Content.styled(f"{number}: READY TO DIVE", "bold"))
        else:
            first = "; ".join(one.open_for_dive[:1]) or "nothing"
            more = f" (+{len(one.open_for_dive[1:])} more)" if one.open_for_dive[1:] else ""
            lines += _rows(f"{number}: NOT READY, waits for {first}{more}", width)
        lines += _held(one, width)
    return [head("READINESS AND HOLDS"), *lines] if lines else []


def _held(one: LaneFigures, width: int) -> Iterator[Content]:
    for hold in one.holds:
        if hold.state == "standing":
            kind = "absolute hold" if hold.absolute else "hold"
            yield from _rows(f"  {kind} stands: {hold.title}", width)
        elif hold.state == "released":
            yield from _rows(f"  hold RELEASED: {hold.title}; {hold.reason}", width)


def closing(board: Board, figures: Figures, width: int) -> list[Content]:
    """Return what every lane that has dived still needs; nothing before one has."""
    lines: list[Content] = []
    for one in figures.lanes:
        if one.lane.mark("reached_surface") is None and not one.lane.over:
            continue
        missing = close_out(board, one)
        number = f"lane {one.lane.number}"
        if not missing:
            word = "called off, no record" if one.phase == "called off" else "closed and signed"
            lines.append(Content(f"{number}: {word}"))
            continue
        more = f" (+{len(missing[1:])} more)" if missing[1:] else ""
        lines += _rows(f"{number}: missing {missing[0]}{more}", width)
    return [head("CLOSE-OUT"), *lines] if lines else []


def ladder_small(one: LaneFigures | None, width: int) -> list[Content]:
    """Return the ladder of leaving times of the lane in hand, against the air."""
    if one is None or one.ladder is None:
        return []
    more = f"{'needs':>6}{'over':>7}" if width >= WIDE else ""
    lines = [
        head(f"LADDER of leaving times, lane {one.lane.number}"),
        Content.styled(f"  {'row':<8}{'leave by':<9}{'total':>6} {'surface':<8}{more} air", "bold"),
        *(_rung(rung, width) for rung in one.ladder.rungs),
    ]
    return [*lines, *_after(one.ladder, width)]


def _rung(rung: Rung, width: int) -> Content:
    leave = NONE if rung.leave_by is None else clock_time(rung.leave_by)
    surface = NONE if rung.surface_at is None else clock_time(rung.surface_at)
    needs, over = (NONE if scf is None else f"{scf}" for scf in (rung.air_scf, rung.spare_scf))
    more = f"{needs:>6}{over:>7}" if width >= WIDE else ""
    air = NONE if rung.covers is None else "yes" if rung.covers else "NOT"
    signs = f"{'>' if rung.in_force else ' '}{'!' if rung.exceptional else ' '}"
    text = f"{signs}{rung.schedule.name:<8}{leave:<9}{mmss(rung.ascent.total_s):>6} {surface:<8}{more} {air}"
    return Content.styled(text, "bold" if rung.in_force else "")


def _after(ladder: Ladder, width: int) -> Iterator[Content]:
    if ladder.after is not None:
        yield from _rows(f"then NO SCHEDULE: {ladder.after.reason}", width)


def crew(board: Board, width: int) -> list[Content]:
    """Return who is here, with which duties."""
    people = [f"{person.name} {', '.join(person.roles)}" for person in board.crew.values()]
    return [head("CREW"), *_rows("; ".join(people) or "nobody has joined yet", width)]


def calls(board: Board, width: int) -> list[Content]:
    """Return whom to call, and what the list lacks (29 CFR 1910.421(b))."""
    lines = [head("CALL LIST")]
    lines += [
        Content(shortened(f"{one.what:<10}{one.number}  {one.name}", width))
        for one in board.setup.station.call_list
    ]
    lacking = call_list_lacks(board.setup.station)
    if lacking:
        lines += _rows(f"NOT ON THE LIST: {', '.join(lacking)}", width)
    return lines


def journal_tail(lines: Sequence[str], entries: Sequence[Entry], width: int) -> list[Content]:
    """Return the last entries, the newest at the bottom."""
    return [head(f"JOURNAL, {len(entries)} entries"), *(Content(shortened(line, width)) for line in lines)]


def _rows(words: str, width: int) -> Iterator[Content]:
    return (Content(row) for row in broken(words, width, "    "))
