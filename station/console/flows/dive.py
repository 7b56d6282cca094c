"""Marks, depths, voice checks and the supervisor's two decisions on the schedule."""

from datetime import datetime

from station.board.facts import live
from station.console.desk import Desk
from station.console.dialogs.fields import Field
from station.console.typed import depth as depth_check
from station.dive.order import allowed_marks
from station.dive.text import mark_text
from station.errors import Refusal
from station.events import (
    DepthDeclared,
    DepthRead,
    MarkName,
    MarkTaken,
    ScheduleLengthened,
    VoiceChecked,
)
from station.units import parse_depth, show_depth, to_fsw

SHOWS: dict[MarkName, str] = {"left_surface": "dive", "reached_surface": "outfit"}
"""The view that a mark brings to the front: what is worked with from then on."""


async def next_mark(desk: Desk, at: datetime) -> None:
    """Take the next expected mark; its time is that of the key press."""
    found = desk.lane_now().dive.next_mark
    if found is None:
        raise Refusal("no mark is to come: the diver has reached the surface")
    _take(desk, at, found.name, found.depth)


async def other_mark(desk: Desk, at: datetime) -> None:
    """Take another mark that may come now; the time is still that of the key press."""
    lane = desk.board.lanes[desk.lane_now().lane.number]
    tables = desk.board.setup.tables
    allowed = allowed_marks(tables, live(desk.board, lane, at))
    if not allowed:
        raise Refusal("no mark is to come: the diver has reached the surface")
    options = [(str(number), mark_text(*one, tables.unit)) for number, one in enumerate(allowed)]
    chosen = await desk.choose(f"Which mark, at {at:%H:%M:%S}?", options)
    if chosen is not None:
        _take(desk, at, *allowed[int(chosen)])


def _take(desk: Desk, at: datetime, name: MarkName, depth: float | None) -> None:
    unit = desk.board.setup.tables.unit
    event = MarkTaken(
        lane=desk.lane,
        mark=name,
        depth_fsw=None if depth is None else float(to_fsw(depth, unit)),
        **desk.stamp("timekeeper", at),
    )
    desk.enter(event, mark_text(name, depth, unit))
    if name in SHOWS:
        desk.app.show_view(SHOWS[name])


async def depth(desk: Desk, at: datetime) -> None:
    """Enter a depth as read on the pneumofathometer."""
    unit = desk.board.setup.station.units.depth
    desk.lane_now()
    field = Field("depth", f"Depth as read, {unit}", check=depth_check(unit), length=12)
    answers = await desk.ask("depth", f"Depth read at {at:%H:%M:%S}", [field])
    if answers:
        read = parse_depth(answers["depth"], unit)
        event = DepthRead(lane=desk.lane, reading_fsw=read, **desk.stamp("timekeeper", at))
        desk.enter(event, f"depth read {show_depth(read, unit)}")


async def voice(desk: Desk, at: datetime) -> None:
    """Enter a voice check."""
    desk.lane_now()
    chosen = await desk.choose(
        "Voice check", [("good", "good: diver heard and answers"), ("lost", "LOST: no answer")]
    )
    if chosen:
        good = chosen == "good"
        event = VoiceChecked(lane=desk.lane, good=good, **desk.stamp("timekeeper", at))
        desk.enter(event, "voice good" if good else "VOICE LOST")


async def declare(desk: Desk, at: datetime) -> None:
    """Declare a deeper depth of dive than was read."""
    unit = desk.board.setup.station.units.depth
    desk.lane_now()
    fields = [
        Field("depth", f"Depth of dive, {unit}", check=depth_check(unit), length=12),
        Field("reason", "Reason"),
    ]
    answers = await desk.ask("declare", "Declare a deeper depth", fields)
    if answers:
        declared = parse_depth(answers["depth"], unit)
        event = DepthDeclared(
            lane=desk.lane, depth_fsw=declared, reason=answers["reason"], **desk.stamp("supervisor", at)
        )
        desk.enter(event, f"depth declared {show_depth(declared, unit)}")


async def lengthen(desk: Desk, at: datetime) -> None:
    """Take the next longer schedule for a cold or arduous dive."""
    desk.lane_now()
    answers = await desk.ask("lengthen", "Take the next longer schedule", [Field("reason", "Reason")])
    if answers:
        event = ScheduleLengthened(lane=desk.lane, reason=answers["reason"], **desk.stamp("supervisor", at))
        desk.enter(event, "next longer schedule taken")
