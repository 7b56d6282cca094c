"""Who acts: every entry names the person whose duty it is, unless the crew says otherwise at the desk."""

from collections.abc import Mapping
from typing import Literal

from station.board.state import Board
from station.console.keyboard import key_of
from station.errors import Refusal
from station.events import CrewJoined, Role, Seat

Duty = Literal["tender", "timekeeper", "supervisor", "diver"]
Pens = Mapping[tuple[Duty, int], str]
"""Who was named at the desk, by duty and lane; lane 0 stands for the whole station."""

SEATS: dict[Duty, Seat] = {
    "tender": "tender",
    "diver": "tender",
    "timekeeper": "timekeeper",
    "supervisor": "supervisor",
}
STANDS_IN: dict[Duty, tuple[Role, ...]] = {
    "tender": ("tender",),
    "timekeeper": ("timekeeper", "supervisor"),
    "supervisor": ("supervisor",),
}
"""Whose roles may hold each pen, the first that somebody has being the one asked: station choice."""


def holders(board: Board, duty: Duty, lane: int) -> list[CrewJoined]:
    """Return everybody who may hold a pen, the one who holds it by the plan first."""
    plan = board.lanes[lane].plan if lane in board.lanes else None
    if duty == "diver":
        return [board.crew[plan.diver]] if plan and plan.diver in board.crew else []
    people = [
        person
        for role in STANDS_IN[duty]
        for person in board.people(role)
        if not plan or person.person != plan.diver
    ]
    named = plan.tenders if plan and duty == "tender" else ()
    people.sort(key=lambda person: named.index(person.person) if person.person in named else len(named))
    return list({person.person: person for person in people}.values())


def holder(board: Board, duty: Duty, lane: int, pens: Pens) -> str:
    """Return who acts.

    Raises:
        Refusal: nobody has taken up that duty.

    """
    people = [person.person for person in holders(board, duty, lane)]
    chosen = pens.get((duty, 0 if duty != "tender" else lane))
    if chosen in people:
        return chosen
    if not people:
        raise Refusal(f"nobody has joined the crew as {duty}", [f"the crew: key {key_of('crew')}"])
    return people[0]


def next_holder(board: Board, duty: Duty, lane: int, pens: Pens) -> str:
    """Return who holds the pen after the one who holds it now; Refusal when there is nobody else."""
    people = [person.person for person in holders(board, duty, lane)]
    now = holder(board, duty, lane, pens)
    if len(people) == 1:
        raise Refusal(
            f"{board.name(now)} is the only {duty}", [f"another one in the crew: key {key_of('crew')}"]
        )
    return people[(people.index(now) + 1) % len(people)]
