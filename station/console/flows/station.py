"""The station's own entries: crew, conditions, a dive to begin, notes, who holds which pen."""

from datetime import datetime
from typing import Literal

from station.console.before import settle, to_be_settled
from station.console.desk import Desk
from station.console.dialogs.fields import Answers, Field
from station.console.duties import Duty, holders, next_holder
from station.console.keyboard import key_of
from station.console.typed import TO_COME, minutes, of
from station.console.typed import depth as depth_check
from station.console.typed import temperature as temperature_check
from station.errors import Refusal
from station.events import (
    ConditionsNoted,
    CrewJoined,
    DivePlanned,
    IncidentNoted,
    NoteMade,
    Role,
)
from station.folder import person_id
from station.units import parse_depth, parse_temperature

ROLES: tuple[Role, ...] = ("supervisor", "timekeeper", "tender", "diver", "standby")
PENS: tuple[Duty, ...] = ("tender", "timekeeper", "supervisor")


async def crew(desk: Desk, at: datetime) -> None:
    """Enter people with their duties, one after another, until Esc."""
    now = at

    def joined(answers: Answers) -> CrewJoined:
        """Return the entry as answered so far; any duty as long as none is ticked."""
        person = _known_as(desk, answers["name"])
        supervisors = desk.board.people("supervisor")
        by = supervisors[0].person if supervisors else person
        roles = tuple(role for role in ROLES if role in answers["roles"].split(",")) or ROLES[-1:]
        stamp = desk.watch.stamp(by, "supervisor", at=now)
        return CrewJoined(person=person, name=answers["name"], roles=roles, **stamp)

    def named(answers: Answers) -> str | None:
        if not person_id(answers["name"]):
            return "a name has a letter or a digit"
        return desk.why_not(lambda: joined(answers))

    while True:
        told = "Joined so far: " + (
            "; ".join(f"{one.name}: {', '.join(one.roles)}" for one in desk.board.crew.values()) or "nobody"
        )
        fields = [
            Field("name", "Name", check=of(CrewJoined, "name"), rule=named, length=80),
            Field("roles", "Duties", kind="ticks", options=tuple((role, role) for role in ROLES)),
        ]
        answers = await desk.ask(
            "crew", "Crew: who is here, with which duties (Esc when all are entered)", fields, told
        )
        if answers is None:
            desk.say(f"crew: {len(desk.board.crew)} entered")
            return
        event = joined(answers)
        desk.enter(event, f"{event.name} joined as {', '.join(event.roles)}")
        now = desk.watch.clock.now()


def _known_as(desk: Desk, name: str) -> str:
    """Return the id of whoever has joined under that name, else the one that the name makes."""
    known = (one.person for one in desk.board.crew.values() if one.name.casefold() == name.casefold())
    return next(known, person_id(name))


async def conditions(desk: Desk, at: datetime) -> None:
    """Note the conditions under water and on the surface."""
    fields = [
        Field("visibility", "Visibility", check=of(ConditionsNoted, "visibility"), length=80),
        Field(
            "temperature",
            "Water temperature, C",
            check=temperature_check(ConditionsNoted, "water_temperature_c"),
            length=8,
        ),
        Field("current", "Current", check=of(ConditionsNoted, "current"), length=80),
        Field("surface", "Surface and weather", check=of(ConditionsNoted, "surface"), length=80),
    ]
    answers = await desk.ask("conditions", "Conditions", fields)
    if answers:
        event = ConditionsNoted(
            visibility=answers["visibility"],
            water_temperature_c=parse_temperature(answers["temperature"], "C"),
            current=answers["current"],
            surface=answers["surface"],
            **desk.stamp("supervisor", at),
        )
        desk.enter(event, "conditions noted")


async def plan(desk: Desk, at: datetime) -> None:
    """Open a lane: diver, tenders, depth, minutes, work."""
    board, unit = desk.board, desk.board.setup.station.units.depth
    divers = {one.person: one.name for role in ("diver", "standby") for one in board.people(role)}
    tenders = tuple((one.person, one.name) for one in board.people("tender"))
    if not divers or not tenders:
        raise Refusal("a dive needs a diver and a tender in the crew", [f"the crew: key {key_of('crew')}"])
    others = [one for one, _ in tenders if one != next(iter(divers))]  # nobody tends while under water
    fields = [
        Field("diver", "Diver", kind="pick", options=tuple(divers.items())),
        Field("tenders", "Tenders", ",".join(others[:2]), kind="ticks", options=tenders),
        Field(
            "depth",
            f"Planned depth, {unit}",
            check=depth_check(unit, DivePlanned, "depth_fsw"),
            rule=lambda answers: desk.why_not(lambda: _planned(desk, at, answers)),
            length=12,
        ),
        Field("minutes", "Planned bottom time, min", check=minutes(DivePlanned, "time_min"), length=4),
        Field("work", "Work", check=of(DivePlanned, "work"), length=500),
    ]
    answers = await desk.ask("plan", "A dive to begin", fields)
    if answers is None:
        return
    event = _planned(desk, at, answers)
    lane = event.lane
    desk.enter(event, f"lane {lane} planned for {board.name(answers['diver'])}")
    desk.lane = lane
    desk.app.repaint()
    if to_be_settled(desk):
        await settle(desk)


def _planned(desk: Desk, at: datetime, answers: Answers) -> DivePlanned:
    """Return the plan as answered so far; the shortest dive as long as no bottom time stands there."""
    return DivePlanned(
        lane=len(desk.board.lanes) + 1,
        diver=answers["diver"],
        tenders=tuple(answers["tenders"].split(",")),
        depth_fsw=parse_depth(answers["depth"], desk.board.setup.station.units.depth),
        time_min=int(answers["minutes"] or 1),
        work=answers["work"] or TO_COME,
        **desk.stamp("supervisor", at),
    )


async def note(desk: Desk, at: datetime) -> None:
    """Put words on the record."""
    await _words(desk, at, "note")


async def incident(desk: Desk, at: datetime) -> None:
    """Put on the record that something went wrong, and what was decided."""
    await _words(desk, at, "incident")


async def _words(desk: Desk, at: datetime, kind: Literal["note", "incident"]) -> None:
    where = f"lane {desk.lane}" if desk.lane else "the station"
    label = "Words" if kind == "note" else "What went wrong, what was decided"
    model = NoteMade if kind == "note" else IncidentNoted
    fields = [Field("text", label, check=of(model, "text"), length=2000)]
    answers = await desk.ask(kind, f"{kind.capitalize()} at {at:%H:%M:%S}, {where}", fields)
    if answers:
        duty: Duty = "timekeeper" if kind == "note" else "supervisor"
        desk.enter(
            model(lane=desk.lane or None, text=answers["text"], **desk.stamp(duty, at)), f"{kind} made"
        )


async def pen(desk: Desk, _at: datetime) -> None:
    """Hand the outfit's pen to the next tender."""
    desk.lane_in_hand()
    chosen = next_holder(desk.board, "tender", desk.lane, desk.pens)
    desk.pens[("tender", desk.lane)] = chosen
    desk.say(f"outfit entries now by {desk.board.name(chosen)}")


async def who(desk: Desk, _at: datetime) -> None:
    """Say who acts in each duty."""
    fields = [
        Field(
            duty,
            {"tender": "Outfit", "timekeeper": "Times and readings", "supervisor": "Decisions"}[duty],
            desk.pens.get((duty, desk.lane if duty == "tender" else 0), ""),
            kind="pick",
            options=tuple((one.person, one.name) for one in holders(desk.board, duty, desk.lane)),
            optional=True,
        )
        for duty in PENS
    ]
    answers = await desk.ask("who", "Who acts", fields)
    if answers:
        for duty in PENS:
            desk.pens[(duty, desk.lane if duty == "tender" else 0)] = answers[duty]
        desk.say("who acts: changed")
