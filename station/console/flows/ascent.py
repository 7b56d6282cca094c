"""The way up: where a diver is held, the chamber, the gas, divers together, a dive called off, what if."""

from datetime import datetime

from station.board.ascent_figures import chamber_next, what_if
from station.console.cards import offer_omitted
from station.console.desk import Desk
from station.console.dialogs.fields import Field
from station.console.keyboard import key_of
from station.console.marks import take_chamber, take_place
from station.console.typed import depth as depth_check
from station.console.typed import minutes, reason
from station.console.words_ascent import GAS_WORDS, chamber_words
from station.console.words_paper import side_by_side
from station.dive.chamber_marks import chamber_mark_text
from station.errors import Refusal
from station.events import DiveCalledOff, DivePlanned, DiversApart, DiversTogether, Gas, GasChosen
from station.units import parse_depth, show_depth

GASES: tuple[Gas, ...] = ("air", "air_oxygen", "surface_oxygen")


async def place(desk: Desk, at: datetime) -> None:
    """Mark that the diver is held on the way up, or moving again, with the depth."""
    await take_place(desk, at, "moving" if desk.lane_now().dive.held else "held")
    await offer_omitted(desk, at)


async def chamber(desk: Desk, at: datetime) -> None:
    """Take a mark of the chamber; the expected one stands first."""
    one = desk.lane_now()
    coming = chamber_next(desk.board, one.lane, one.chamber, at)
    if coming is None:
        raise Refusal(
            f"lane {one.lane.number}: no mark of the chamber is to come",
            [
                f"surface decompression chosen: key {key_of('gas')}",
                f"or the card of omitted decompression: key {key_of('card')}",
            ],
        )
    options = [
        (str(number), chamber_mark_text(*mark) if number else chamber_words(coming))
        for number, mark in enumerate(coming.allowed)
    ]
    chosen = await desk.choose(f"Which mark of the chamber, at {at:%H:%M:%S}?", options)
    if chosen is not None:
        take_chamber(desk, at, coming.allowed[int(chosen)])


async def gas(desk: Desk, at: datetime) -> None:
    """Choose what is breathed on the way up, with the reason."""
    now = desk.lane_now().dive.gas
    options = tuple((one, GAS_WORDS[one]) for one in GASES if one != now)
    fields = [
        Field("gas", "Gas of the ascent", kind="pick", options=options),
        reason(GasChosen),
    ]
    answers = await desk.ask("gas", f"Gas of the ascent; now: {GAS_WORDS[now]}", fields)
    if answers:
        chosen = next(one for one in GASES if one == answers["gas"])
        event = GasChosen(
            lane=desk.lane, gas=chosen, reason=answers["reason"], **desk.stamp("supervisor", at)
        )
        desk.enter(event, f"ascent on {GAS_WORDS[chosen]}")


async def company(desk: Desk, at: datetime) -> None:
    """Have divers ascend together, or part them again."""
    lane = desk.lane_in_hand()
    last = lane.company[-1] if lane.company else None
    if isinstance(last, DiversTogether):
        await _part(desk, at, last)
        return
    others = tuple(
        (str(one.number), f"lane {one.number} {desk.board.name(one.plan.diver)}")
        for one in desk.board.lanes.values()
        if one.number != lane.number and not one.over and one.mark("reached_surface") is None
    )
    if not others:
        raise Refusal("there is no other diver to ascend with", [f"a second dive: key {key_of('plan')}"])
    fields = [Field("lanes", "Together with", others[0][0], kind="ticks", options=others)]
    answers = await desk.ask("company", f"Lane {lane.number} ascends together with others", fields)
    if answers:
        lanes = (lane.number, *(int(one) for one in answers["lanes"].split(",")))
        words = ", ".join(str(one) for one in lanes)
        event = DiversTogether(lanes=tuple(sorted(lanes)), **desk.stamp("supervisor", at))
        desk.enter(event, f"lanes {words} together: the deeper depth and the longer time hold")


async def _part(desk: Desk, at: datetime, last: DiversTogether) -> None:
    words = ", ".join(str(one) for one in last.lanes)
    answers = await desk.ask("apart", f"Part lanes {words}", [reason(DiversApart)])
    if answers:
        event = DiversApart(lanes=last.lanes, reason=answers["reason"], **desk.stamp("supervisor", at))
        desk.enter(event, f"lanes {words} apart: each follows its own figures")


async def call_off(desk: Desk, at: datetime) -> None:
    """Call a planned dive off before the diver has left the surface."""
    one = desk.lane_now()
    name = desk.board.name(one.lane.plan.diver)
    title = f"Call off the dive of lane {one.lane.number}, {name}"
    answers = await desk.ask("call off", title, [reason(DiveCalledOff)])
    if answers:
        event = DiveCalledOff(lane=desk.lane, reason=answers["reason"], **desk.stamp("supervisor", at))
        desk.enter(event, f"lane {desk.lane} called off")


async def paper(desk: Desk, at: datetime) -> None:
    """Show what another depth, time or gas would make of the dive; nothing is entered."""
    board, unit = desk.board, desk.board.setup.station.units.depth
    one = desk.lane_now() if board.lanes else None
    fields = [
        Field(
            "depth", f"Depth of dive, {unit}", check=depth_check(unit, DivePlanned, "depth_fsw"), length=12
        ),
        Field("minutes", "Bottom time, min", check=minutes(DivePlanned, "time_min"), length=4),
        Field("gas", "Gas of the ascent", kind="pick", options=tuple(GAS_WORDS.items())),
    ]
    answers = await desk.ask("paper", "What if: a dive on paper, nothing is entered", fields)
    if answers is None:
        return
    depth_fsw, chosen = parse_depth(answers["depth"], unit), next(g for g in GASES if g == answers["gas"])
    lane = None if one is None else one.lane
    found = what_if(board, lane, at, depth_fsw=depth_fsw, minutes=int(answers["minutes"]), gas=chosen)
    sentence = f"{show_depth(depth_fsw, unit)} for {answers['minutes']} min on {GAS_WORDS[chosen]}"
    live = None if one is None else one.dive
    await desk.tell("WHAT IF, on paper: nothing is entered", sentence, side_by_side(board, live, found))
    desk.say("what if: nothing entered")
