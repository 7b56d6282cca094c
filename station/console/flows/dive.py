"""Marks, depths, voice checks and the supervisor's two decisions on the schedule."""

from datetime import datetime, timedelta

from station.board.ascent_figures import chamber_next
from station.board.entry_words import entry_words
from station.board.facts import depth_question, live
from station.console.cards import offer_omitted
from station.console.desk import Desk
from station.console.dialogs.fields import Answers, Field
from station.console.keyboard import key_of
from station.console.marks import take_chamber, take_mark, take_place
from station.console.typed import TO_COME, reason
from station.console.typed import depth as depth_check
from station.dive.chamber_marks import Option, chamber_mark_text
from station.dive.marks import PLACE_MARKS
from station.dive.order import allowed_marks
from station.dive.text import mark_text
from station.errors import Refusal
from station.events import (
    ChamberMarkTaken,
    DepthDeclared,
    DepthRead,
    MarkTaken,
    ScheduleLengthened,
    VoiceChecked,
)
from station.units import parse_depth, show_depth

SAME_MARK = timedelta(seconds=2)
"""Who presses so soon after a mark of another screen means that mark, not the next; station choice."""


async def next_mark(desk: Desk, at: datetime) -> None:
    """Take the next expected mark, of the chamber once the diver is up; its time is that of the key press."""
    lane = desk.lane_in_hand()
    _refuse_second_hand(desk, at)
    found = live(desk.board, lane, at).next_mark
    if found is None:
        take_chamber(desk, at, _chamber_marks(desk, at)[0])
        return
    take_mark(desk, at, found.name, found.depth)
    await offer_omitted(desk, at)


def _refuse_second_hand(desk: Desk, at: datetime) -> None:
    """Refuse a press that means a mark which another screen has just taken."""
    for entry in reversed(desk.watch.entries):
        event = entry.event
        if at - event.entered >= SAME_MARK:
            return
        mark = isinstance(event, MarkTaken | ChamberMarkTaken) and event.lane == desk.lane
        if mark and entry.seq not in desk.watch.own:
            words = entry_words(desk.board, event)
            raise Refusal(
                f"{words} was taken at another screen just now",
                [f"for the mark after it: key {key_of('mark.next')} once more, {SAME_MARK.seconds} s later"],
            )


async def other_mark(desk: Desk, at: datetime) -> None:
    """Take another mark that may come now; the time is still that of the key press."""
    lane = desk.lane_in_hand()
    tables = desk.board.setup.tables
    allowed = allowed_marks(tables, live(desk.board, lane, at))
    chamber = () if allowed else _chamber_marks(desk, at)
    options = [(str(number), mark_text(*one, tables.unit)) for number, one in enumerate(allowed)]
    options += [(str(number), chamber_mark_text(*one)) for number, one in enumerate(chamber)]
    chosen = await desk.choose(f"Which mark, at {at:%H:%M:%S}?", options)
    if chosen is None:
        return
    if chamber:
        take_chamber(desk, at, chamber[int(chosen)])
        return
    name, depth = allowed[int(chosen)]
    if name in PLACE_MARKS:
        await take_place(desk, at, name)
    else:
        take_mark(desk, at, name, depth)
    await offer_omitted(desk, at)


def _chamber_marks(desk: Desk, at: datetime) -> tuple[Option, ...]:
    """Return the marks of the chamber that may come, the expected one first; Refusal when there is none."""
    one = desk.lane_now()
    coming = chamber_next(desk.board, one.lane, one.chamber, at)
    if coming is None:
        raise Refusal("no mark is to come: the diver has reached the surface")
    return coming.allowed


async def depth(desk: Desk, at: datetime) -> None:
    """Enter a depth as read on the pneumofathometer."""
    unit = desk.board.setup.station.units.depth
    lane = desk.lane_in_hand()
    field = Field(
        "depth", f"Depth as read, {unit}", check=depth_check(unit, DepthRead, "reading_fsw"), length=12
    )
    answers = await desk.ask("depth", f"Depth read at {at:%H:%M:%S}", [field])
    if answers is None:
        return
    read = parse_depth(answers["depth"], unit)
    event = DepthRead(lane=lane.number, reading_fsw=read, **desk.stamp("timekeeper", at))
    why = depth_question(desk.board, lane, event)
    if why and not await desk.sure("READ IT ONCE MORE", f"{show_depth(read, unit)}: {why}. Is it so?"):
        desk.say("depth: left, nothing entered")
        return
    desk.enter(event, f"depth read {show_depth(read, unit)}")


async def voice(desk: Desk, at: datetime) -> None:
    """Enter a voice check."""
    desk.lane_in_hand()
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
    lane = desk.lane_in_hand().number

    def declared(answers: Answers) -> DepthDeclared:
        depth_fsw, reason = parse_depth(answers["depth"], unit), answers["reason"] or TO_COME
        return DepthDeclared(lane=lane, depth_fsw=depth_fsw, reason=reason, **desk.stamp("supervisor", at))

    fields = [
        Field(
            "depth",
            f"Depth of dive, {unit}",
            check=depth_check(unit, DepthDeclared, "depth_fsw"),
            rule=lambda answers: desk.why_not(lambda: declared(answers)),
            length=12,
        ),
        reason(DepthDeclared),
    ]
    answers = await desk.ask("declare", "Declare a deeper depth", fields)
    if answers:
        event = declared(answers)
        desk.enter(event, f"depth declared {show_depth(event.depth_fsw, unit)}")


async def lengthen(desk: Desk, at: datetime) -> None:
    """Take the next longer schedule for a cold or arduous dive."""
    desk.lane_in_hand()
    fields = [reason(ScheduleLengthened)]
    answers = await desk.ask("lengthen", "Take the next longer schedule", fields)
    if answers:
        event = ScheduleLengthened(lane=desk.lane, reason=answers["reason"], **desk.stamp("supervisor", at))
        desk.enter(event, "next longer schedule taken")
