"""What the law asks for around a dive: planning, briefing, words to the diver, sickness, gaps."""

from datetime import datetime
from typing import Final, Literal

from station.board.law import DUTY_KINDS, circumstances, entered
from station.console.desk import Desk
from station.console.dialogs.fields import Field
from station.console.gaps import explain, missing
from station.console.keyboard import key_of
from station.console.typed import clock as clock_check
from station.console.typed import depth as depth_check
from station.console.typed import of
from station.errors import Refusal
from station.events import (
    BriefingDone,
    CasualtyNoted,
    DiverTold,
    ObservationEnded,
    PlanningChecked,
    SicknessSuspected,
    SicknessTreated,
)
from station.law.asked import Duty, Part
from station.law.asked import duties as duties_of
from station.moments import nearest_time_of_day
from station.units import parse_depth

LISTS: Final[dict[Part, str]] = {
    "planning": "Planning: what was gone through",
    "briefing": "Briefing: on what",
    "told": "After the dive: done for the diver, and told",
}
PAGE: Final = 6
"""Items of a list that fit on the least screen."""
OTHERS: Final = {
    "observation": "Observation of the diver ended",
    "suspected": "DECOMPRESSION SICKNESS suspected: symptoms, depth and time of onset",
    "treated": "Treatment, and its results",
    "casualty": "Death or injury, and its circumstances",
}


async def duties(desk: Desk, at: datetime) -> None:
    """Choose one of the lists and entries that the law asks for."""
    desk.lane_in_hand()
    options: list[tuple[str, str]] = [
        (part, f"{words} ({len(_open(desk, part))} not noted)") for part, words in LISTS.items()
    ]
    options += OTHERS.items()
    options.append(("gaps", f"What the record lacks ({len(missing(desk))} not explained)"))
    chosen = await desk.choose(f"Duties around the dive of lane {desk.lane}", options)
    match chosen:
        case "planning" | "briefing" | "told":
            await _tick(desk, at, chosen)
        case "observation":
            await _observation(desk, at)
        case "suspected":
            await _suspected(desk, at)
        case "treated":
            await _treated(desk, at)
        case "casualty":
            await _casualty(desk, at)
        case "gaps":
            await _gaps(desk)


def _open(desk: Desk, part: Part) -> list[Duty]:
    """Return the items of a list that are asked for and not noted yet."""
    one = desk.lane_now()
    dive = circumstances(desk.board, one.lane, one.dive)
    noted = {item for event in entered(one.lane, DUTY_KINDS[part]) for item in event.items}
    return [duty for duty in duties_of(desk.board.setup.authorities, part, dive) if duty.id not in noted]


async def _tick(desk: Desk, at: datetime, part: Part) -> None:
    found = _open(desk, part)
    if not found:
        raise Refusal(f"lane {desk.lane}: {LISTS[part].split(':')[0].lower()}: every item is noted")
    items = await _ticked(desk, part, found)
    if items is None:
        return
    if not items:
        desk.say(f"{LISTS[part]}: nothing ticked, nothing entered")
        return
    event: PlanningChecked | BriefingDone | DiverTold
    if part == "briefing":
        people = await _people(desk)
        if people is None:
            return
        event = BriefingDone(lane=desk.lane, items=items, people=people, **desk.stamp("supervisor", at))
    elif part == "planning":
        event = PlanningChecked(lane=desk.lane, items=items, **desk.stamp("supervisor", at))
    else:
        event = DiverTold(lane=desk.lane, items=items, **desk.stamp("supervisor", at))
    desk.enter(event, f"{part}: {len(items)} of {len(found)} open items noted")


async def _ticked(desk: Desk, part: Part, found: list[Duty]) -> tuple[str, ...] | None:
    """Return the items ticked, a page of the list after another; None when the list was left."""
    pages = [found[at : at + PAGE] for at in range(0, len(found), PAGE)]
    ticked: list[str] = []
    for number, page in enumerate(pages, start=1):
        options = tuple((duty.id, duty.what) for duty in page)
        fields = [Field("items", "Done", kind="ticks", options=options, optional=True)]
        rules = dict.fromkeys(one.split("(")[0] for duty in page for one in duty.paragraphs)
        title = f"{LISTS[part]} ({number} of {len(pages)})"
        answers = await desk.ask(f"{part} {desk.lane} {number}", title, fields, ", ".join(rules))
        if answers is None:
            return None
        ticked += [one for one in answers["items"].split(",") if one]
    return tuple(ticked)


async def _people(desk: Desk) -> tuple[str, ...] | None:
    crew = tuple((one.person, one.name) for one in desk.board.crew.values())
    fields = [Field("people", "Who was there", kind="ticks", options=crew)]
    answers = await desk.ask(f"briefed {desk.lane}", "Briefing: who was there", fields)
    return None if answers is None else tuple(answers["people"].split(","))


async def _observation(desk: Desk, at: datetime) -> None:
    fields = [Field("text", "How the diver was", check=of(ObservationEnded, "text"), length=500)]
    answers = await desk.ask(f"observation {desk.lane}", OTHERS["observation"], fields)
    if answers:
        event = ObservationEnded(lane=desk.lane, text=answers["text"], **desk.stamp("supervisor", at))
        desk.enter(event, "observation ended")


async def _suspected(desk: Desk, at: datetime) -> None:
    unit = desk.board.setup.station.units.depth
    at_depth = depth_check(unit, SicknessSuspected, "onset_fsw")
    fields = [
        Field("symptoms", "Symptoms", check=of(SicknessSuspected, "symptoms"), length=1000),
        Field("time", "They began at, HH:MM:SS UTC", check=clock_check, length=8),
        Field("depth", f"At which depth, {unit} (0 at the surface)", check=at_depth, length=12),
    ]
    answers = await desk.ask(f"suspected {desk.lane}", OTHERS["suspected"], fields)
    if answers:
        event = SicknessSuspected(
            lane=desk.lane,
            symptoms=answers["symptoms"],
            onset=nearest_time_of_day(at, answers["time"]),
            onset_fsw=parse_depth(answers["depth"], unit),
            **desk.stamp("supervisor", at),
        )
        desk.enter(
            event, f"DECOMPRESSION SICKNESS SUSPECTED; the medical officer: key {key_of('card')} for the card"
        )


async def _treated(desk: Desk, at: datetime) -> None:
    fields = [
        Field("treatment", "Treatment", check=of(SicknessTreated, "treatment"), length=1000),
        Field("results", "Its results", check=of(SicknessTreated, "results"), length=1000),
    ]
    answers = await desk.ask(f"treated {desk.lane}", OTHERS["treated"], fields)
    if answers:
        event = SicknessTreated(
            lane=desk.lane,
            treatment=answers["treatment"],
            results=answers["results"],
            **desk.stamp("supervisor", at),
        )
        desk.enter(event, "treatment noted")


async def _casualty(desk: Desk, at: datetime) -> None:
    fields = [
        Field("what", "Which", kind="pick", options=(("injury", "injury"), ("death", "death"))),
        Field("circumstances", "Circumstances", check=of(CasualtyNoted, "circumstances"), length=2000),
    ]
    answers = await desk.ask(f"casualty {desk.lane}", OTHERS["casualty"], fields)
    if answers:
        what: Literal["death", "injury"] = "death" if answers["what"] == "death" else "injury"
        stamp = desk.stamp("supervisor", at)
        event = CasualtyNoted(lane=desk.lane, what=what, circumstances=answers["circumstances"], **stamp)
        desk.enter(event, f"{what} noted")


async def _gaps(desk: Desk) -> None:
    if not missing(desk):
        desk.say(f"lane {desk.lane}: nothing that is asked for so far is missing on the record")
        return
    if desk.board.lanes[desk.lane].mark("reached_surface") is None:
        words = [f"{gap.what}: {gap.key} ({gap.paragraphs})" for gap in missing(desk)]
        await desk.tell("NOT YET ON THE RECORD", "Asked for, and without an answer so far:", words)
        return
    if await explain(desk):
        desk.say(f"lane {desk.lane}: nothing is missing on the record without words")
