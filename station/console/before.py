"""What lies before a dive: earlier dives found or stated, how they count, the arrival at altitude."""

from collections.abc import Sequence
from datetime import datetime
from textwrap import shorten
from typing import TYPE_CHECKING

from station.board.after import both_answers
from station.board.earlier import earlier_dives
from station.console.desk import Desk
from station.console.dialogs.fields import Answers, Field
from station.console.typed import TO_COME, amount, group, minutes, moment, moment_of, number, of, reason
from station.console.typed import depth as depth_check
from station.console.words_paper import earlier_line
from station.dive.altitude import NO_CORRECTION_UP_TO_FT
from station.events import ArrivalStated, EarlierStated, NoGroupDecided, NoteMade, ResidualChosen
from station.moments import clock_time
from station.units import parse_depth, show_depth

if TYPE_CHECKING:
    from station.record.recorded import RecordedDive

NO_GROUP = "none"
LEFT_OUT = "Earlier dive on the shelf left out"
WORDS_ROOM = 2000
"""Most characters of a note."""


def on_shelf(desk: Desk) -> "list[RecordedDive]":
    """Return the diver's dives of late on the shelf that the lane in view does not know of yet."""
    from station.shelf.earlier import earlier_on_shelf  # noqa: PLC0415 - loads the record's libraries if needed

    lane = desk.board.lanes[desk.lane]
    known = {one.surfaced for one in earlier_dives(desk.board, lane)}
    drill = desk.board.opened is not None and desk.board.opened.drill
    diver, now = lane.plan.diver, desk.watch.clock.now()
    found = earlier_on_shelf(desk.folder, diver, desk.board.name(diver), now, drill=drill)
    return [one for one in found if one.surfaced not in known]


def to_be_settled(desk: Desk) -> bool:
    """Whether anything lies before the dive of the lane in view that people should look at."""
    lane = desk.board.lanes[desk.lane]
    arrival = desk.board.setup.station.altitude_ft > NO_CORRECTION_UP_TO_FT and lane.arrival is None
    return arrival or bool(earlier_dives(desk.board, lane)) or bool(on_shelf(desk))


def left_open(desk: Desk) -> bool:
    """Whether the diver in view is on deck while a dive on the shelf was neither taken nor left out.

    So it stands when the terminal was closed under the question.
    """
    lane = desk.board.lanes[desk.lane]
    if lane.over or lane.mark("left_surface") is not None:
        return False
    return not any(one.text.startswith(LEFT_OUT) for one in lane.remarks) and bool(on_shelf(desk))


async def ask_again(desk: Desk, _at: datetime) -> None:
    """Ask what was left open before the dive of each diver on deck; the lane in view stays what it was."""
    in_view = desk.lane
    try:
        for lane in desk.board.lanes:
            desk.lane = lane
            if left_open(desk):
                await settle(desk)
    finally:
        desk.lane = in_view


async def settle(desk: Desk) -> None:
    """Show what earlier dives add, and take what people state or decide about them, until Esc."""
    while True:
        shelf = on_shelf(desk)
        told, options = _standing(desk, shelf)
        title = f"Before the dive of lane {desk.lane}; Esc when it is settled"
        chosen = await desk.choose(title, options, told)
        at = desk.watch.clock.now()
        match chosen:
            case None:
                if shelf and not await _left_out(desk, at, shelf):
                    continue
                desk.say(f"lane {desk.lane}: {desk.lane_now().dive.residual.words}{_not_taken(shelf)}")
                return
            case "see":
                await _see(desk)
            case "state":
                await _state(desk, at)
            case "table" | "sum":
                await _count(desk, at, chosen)
            case "no group":
                await _no_group(desk, at)
            case "arrival":
                await _arrival(desk, at)
            case _:
                _take(desk, at, shelf[int(chosen)])


async def _left_out(desk: Desk, at: datetime, shelf: "Sequence[RecordedDive]") -> bool:
    """Ask whether dives on the shelf are to count for nothing, and note that it was decided."""
    dives = [f"{one.title}, surfaced {clock_time(one.surfaced)} ({one.record})" for one in shelf]
    words = (
        f"Known on the shelf and not taken, so that no residual nitrogen of it counts: {'; '.join(dives)}."
    )
    if not await desk.sure("AN EARLIER DIVE IS LEFT OUT", f"{words} Leave it out?"):
        return False
    stamp = desk.stamp("supervisor", at)
    text = f"{LEFT_OUT}: {'; '.join(dives)}"
    desk.enter(NoteMade(lane=desk.lane, text=shorten(text, WORDS_ROOM), **stamp), "earlier dive left out")
    return True


def _not_taken(shelf: "Sequence[RecordedDive]") -> str:
    return f"; NOT TAKEN from the shelf: {len(shelf)}" if shelf else ""


def _standing(desk: Desk, shelf: "Sequence[RecordedDive]") -> tuple[str, list[tuple[str, str]]]:
    one, board = desk.lane_now(), desk.board
    options = [
        (
            str(at),
            f"take from the shelf: {found.title}, surfaced {clock_time(found.surfaced)} ({found.record})",
        )
        for at, found in enumerate(shelf)
    ]
    options.append(("see", f"see the earlier dives known: {len(earlier_dives(board, one.lane))}"))
    options.append(("state", "state an earlier dive by hand, with the reason"))
    both = both_answers(board, one.lane, one.dive)
    if both is not None:
        method = one.lane.residual.method if one.lane.residual else "table"
        for name, answer in (("table", both.by_table), ("sum", both.by_sum)):
            words = "the table" if name == "table" else "the sum of bottom times"
            options.append(
                (name, f"{'COUNTS NOW' if name == method else 'count'} by {words}: {answer.words}")
            )
    if one.dive.residual.minutes is None:
        options.append(("no group", "go ahead after a dive without a group: the supervisor's decision"))
    if board.setup.station.altitude_ft > NO_CORRECTION_UP_TO_FT:
        options.append(("arrival", "the diver's arrival at the altitude of the site"))
    return f"{one.dive.residual.words}{_not_taken(shelf)}", options


async def _see(desk: Desk) -> None:
    one = desk.lane_now()
    lines = [earlier_line(desk.board, found) for found in earlier_dives(desk.board, one.lane)]
    await desk.tell("EARLIER DIVES", one.dive.residual.words, lines or ["none is known"])


def _take(desk: Desk, at: datetime, found: "RecordedDive") -> None:
    event = EarlierStated(lane=desk.lane, **found.fields(), **desk.stamp("supervisor", at))
    desk.enter(event, f"earlier dive from the shelf: {found.record}")


async def _state(desk: Desk, at: datetime) -> None:
    unit, tables = desk.board.setup.station.units.depth, desk.board.setup.tables

    def surfaced(answers: Answers) -> EarlierStated:
        found = moment_of(answers["surfaced"])
        stamp = desk.stamp("supervisor", at)
        return EarlierStated(
            lane=desk.lane, surfaced=found, depth_fsw=1, bottom_min=1, reason=TO_COME, **stamp
        )

    depth_fits = depth_check(unit, EarlierStated, "depth_fsw")
    fields = [
        Field(
            "surfaced",
            "Surfaced, YYYY-MM-DD HH:MM UTC",
            f"{at:%Y-%m-%d} ",
            check=moment,
            rule=lambda answers: desk.why_not(lambda: surfaced(answers)),
            length=19,
        ),
        Field("depth", f"Depth that entered the tables, {unit}", check=depth_fits, length=12),
        Field("minutes", "Bottom time, min", check=minutes(EarlierStated, "bottom_min"), length=4),
        Field("added", "Residual time in it, min", "0", check=number(EarlierStated, "added_min"), length=4),
        Field("group", f"Group after it, or {NO_GROUP}", check=group(tables.file.groups, NO_GROUP), length=4),
        Field(
            "exceptional",
            "Exceptional exposure",
            kind="pick",
            options=(("no", "no"), ("yes", "yes: exceptional exposure")),
        ),
        Field("reason", "From where this is known, and why by hand", check=of(EarlierStated, "reason")),
    ]
    answers = await desk.ask("earlier", "An earlier dive, stated by the supervisor", fields)
    if answers is None:
        return
    letter = answers["group"].upper()
    depth_fsw = parse_depth(answers["depth"], unit)
    event = EarlierStated(
        lane=desk.lane,
        surfaced=moment_of(answers["surfaced"]),
        group=None if answers["group"].lower() == NO_GROUP else letter,
        depth_fsw=depth_fsw,
        bottom_min=int(answers["minutes"]),
        added_min=int(answers["added"]),
        exceptional=answers["exceptional"] == "yes",
        reason=answers["reason"],
        **desk.stamp("supervisor", at),
    )
    desk.enter(event, f"earlier dive stated: {show_depth(depth_fsw, unit)}, group {answers['group']}")


async def _count(desk: Desk, at: datetime, method: str) -> None:
    words = "the table" if method == "table" else "the sum of the bottom times"
    answers = await desk.ask(f"count {method}", f"Earlier dives count by {words}", [reason(ResidualChosen)])
    if answers:
        event = ResidualChosen(
            lane=desk.lane,
            method="table" if method == "table" else "sum",
            reason=answers["reason"],
            **desk.stamp("supervisor", at),
        )
        desk.enter(event, f"earlier dives count by {words}")


async def _no_group(desk: Desk, at: datetime) -> None:
    title = "Go ahead after a dive without a group"
    answers = await desk.ask("no group", title, [reason(NoGroupDecided)])
    if answers:
        event = NoGroupDecided(lane=desk.lane, reason=answers["reason"], **desk.stamp("supervisor", at))
        desk.enter(event, "goes ahead after a dive without a group")


async def _arrival(desk: Desk, at: datetime) -> None:
    site = desk.board.setup.station.altitude_ft

    def arrival(answers: Answers) -> ArrivalStated:
        arrived, stamp = moment_of(answers["arrived"]), desk.stamp("supervisor", at)
        return ArrivalStated(lane=desk.lane, arrived=arrived, from_ft=float(answers["from"] or 0), **stamp)

    def rule(answers: Answers) -> str | None:
        return desk.why_not(lambda: arrival(answers))

    day, height = f"{at:%Y-%m-%d} ", amount(ArrivalStated, "from_ft")
    fields = [
        Field("arrived", "Arrived, YYYY-MM-DD HH:MM UTC", day, check=moment, rule=rule, length=19),
        Field("from", "From which altitude, ft", "0", check=height, rule=rule, length=6),
    ]
    answers = await desk.ask("arrival", f"Arrival at the site, {site:,} ft", fields)
    if answers:
        desk.enter(arrival(answers), f"arrival at the site stated: from {answers['from']} ft")
