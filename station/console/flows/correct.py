"""Corrections: an entry is withdrawn or amended by a further entry with its reason; nothing is erased."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from station.board.air_figures import question
from station.board.amend import FIXED_EVENTS, amended, effective
from station.board.entry_words import entry_words
from station.board.facts import depth_question
from station.board.fold import fold
from station.console.desk import Desk
from station.console.dialogs.fields import Answers, Check, Field
from station.console.typed import TO_COME, clock, day, depth, minutes, of, pressure, reason
from station.errors import Refusal
from station.events import DepthRead, EntryAmended, EntryWithdrawn, Event, SupplyRead
from station.moments import clock_time, iso, nearest_time_of_day
from station.units import parse_depth, parse_pressure

SHOWN = 200
"""How many entries are offered, the newest first."""


@dataclass(frozen=True)
class Figure:
    """A field of an entry that may be given anew: what it is called, its check, and what a text means."""

    label: str
    check: Callable[[Desk, type[Event], str], Check]
    read: Callable[[Desk, str], Any]


def _same(_desk: Desk, text: str) -> str:
    return text


def _free(_desk: Desk, model: type[Event], name: str) -> Check:
    return of(model, name)


_DEPTH = Figure(
    "Depth",
    lambda desk, model, name: depth(desk.board.setup.station.units.depth, model, name),
    lambda desk, text: parse_depth(text, desk.board.setup.station.units.depth),
)
_PRESSURE = Figure(
    "Pressure",
    lambda desk, model, name: pressure(desk.board.setup.station.units.pressure, model, name),
    lambda desk, text: parse_pressure(text, desk.board.setup.station.units.pressure),
)
_MINUTES = Figure("Minutes", lambda _desk, model, name: minutes(model, name), lambda _desk, text: int(text))
FIGURES: Mapping[str, Mapping[str, Figure]] = {
    "depth.read": {"reading_fsw": _DEPTH},
    "depth.declared": {"depth_fsw": _DEPTH},
    "supply.read": {"pressure_psig": _PRESSURE},
    "dive.planned": {"depth_fsw": _DEPTH, "time_min": _MINUTES, "work": Figure("Work", _free, _same)},
    "piece.drawn": {
        "number": Figure("Own number", _free, _same),
        "stamped": Figure("Number of its set", _free, _same),
        "tested": Figure("Day of its test", lambda _desk, _model, _name: day, _same),
    },
    "item.inspected": {"remark": Figure("Remark", _free, _same)},
    "note.made": {"text": Figure("Words", _free, _same)},
    "incident.noted": {"text": Figure("Words", _free, _same)},
    "conditions.noted": {
        "visibility": Figure("Visibility", _free, _same),
        "current": Figure("Current", _free, _same),
        "surface": Figure("Surface and weather", _free, _same),
    },
    "dive.closed": {"condition_after": Figure("Condition of the diver", _free, _same)},
}


async def correct(desk: Desk, at: datetime) -> None:
    """Pick an entry, and withdraw it or give it a new time or figure."""
    standing = {
        event.id: event
        for event in reversed(effective(desk.board.log))
        if not isinstance(event, FIXED_EVENTS)
    }
    if not standing:
        raise Refusal("nothing has been entered that could be corrected")
    in_hand = desk.app.entry_in_hand()
    options = [
        (event.id, f"{clock_time(event.at)} {entry_words(desk.board, event)} - {desk.board.name(event.by)}")
        for event in list(standing.values())[:SHOWN]
    ]
    chosen = in_hand if in_hand in standing else await desk.choose("Correct which entry?", options)
    if chosen is None:
        return
    target = standing[chosen]
    figures = FIGURES.get(target.kind, {})
    words = entry_words(desk.board, target)
    ways = [("withdraw", "withdraw it: made in error")]
    if not isinstance(target, EntryAmended):
        ways.append(("time", f"another time than {clock_time(target.at)}"))
    ways += [(name, f"another {figure.label.lower()}") for name, figure in figures.items()]
    way = await desk.choose(f"{clock_time(target.at)} {words}: what is wrong?", ways)
    if way == "withdraw":
        await _withdraw(desk, at, target, words)
    elif way is not None:
        await _amend(desk, at, target, words, way)


async def _withdraw(desk: Desk, at: datetime, target: Event, words: str) -> None:
    answers = await desk.ask(
        f"withdraw {target.id}", f"Withdraw: {words}", [reason(EntryWithdrawn), _who(desk, target)]
    )
    if answers:
        event = EntryWithdrawn(target=target.id, reason=answers["reason"], **_stamp(desk, at, answers["who"]))
        desk.enter(event, f"withdrawn: {words}")


async def _amend(desk: Desk, at: datetime, target: Event, words: str, way: str) -> None:
    def changes(answers: Answers) -> dict[str, Any]:
        if way == "time":
            return {"at": iso(nearest_time_of_day(target.at, answers["new"]))}
        return {way: FIGURES[target.kind][way].read(desk, answers["new"])}

    def amendment(answers: Answers) -> EntryAmended:
        reason, stamp = answers["reason"] or TO_COME, _stamp(desk, at, answers["who"])
        return EntryAmended(target=target.id, changes=changes(answers), reason=reason, **stamp)

    def rule(answers: Answers) -> str | None:
        return desk.why_not(lambda: amendment(answers))

    if way == "time":
        label = "Right time, HH:MM:SS UTC"
        new = Field("new", label, clock_time(target.at), check=clock, rule=rule, length=8)
    else:
        figure = FIGURES[target.kind][way]
        new = Field("new", figure.label, check=figure.check(desk, type(target), way), rule=rule)
    fields = [new, reason(EntryAmended), _who(desk, target)]
    answers = await desk.ask(f"amend {target.id} {way}", f"Amend: {words}", fields)
    if answers is None:
        return
    right = amended(target, changes(answers))
    why = None if way == "time" else _doubt(desk, right)
    if why and not await desk.sure("READ IT ONCE MORE", f"{why}. Is it so?"):
        desk.say("amend: left, nothing entered")
        return
    now = clock_time(right.at) if way == "time" else entry_words(desk.board, right)
    desk.enter(amendment(answers), f"amended to: {now}; was: {words}")


def _doubt(desk: Desk, event: Event) -> str | None:
    """Return what would be asked of a figure if it were read so in the first place."""
    board = fold(desk.board.setup, [one for one in effective(desk.board.log) if one.id != event.id])
    if isinstance(event, DepthRead):
        return depth_question(board, board.lanes[event.lane], event)
    if isinstance(event, SupplyRead):
        return question(board, event.source, event.pressure_psig, event.at)
    return None


def _who(desk: Desk, target: Event) -> Field:
    people = {target.by: desk.board.name(target.by)} if target.by in desk.board.crew else {}
    people |= {one.person: one.name for one in desk.board.people("supervisor")}
    return Field("who", "Corrected by", target.by, kind="pick", options=tuple(people.items()))


def _stamp(desk: Desk, at: datetime, by: str) -> dict[str, Any]:
    supervisor = desk.board.has_role(by, "supervisor")
    timekeeper = desk.board.has_role(by, "timekeeper")
    seat = "supervisor" if supervisor else "timekeeper" if timekeeper else "tender"
    return desk.watch.stamp(by, seat, at=at)  # type: ignore[arg-type]
