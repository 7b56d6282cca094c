"""What the law asks for around a dive, in its record: planning, briefing, words to the diver, sickness."""

from collections.abc import Sequence
from typing import Final

from station.board.law import DUTY_KINDS, circumstances, entered, out_of_pressure
from station.events import (
    BriefingDone,
    CasualtyNoted,
    DiverTold,
    ObservationEnded,
    PlanningChecked,
    SicknessSuspected,
    SicknessTreated,
)
from station.law.after import observation, observed_now
from station.law.asked import Duty, Part, duties
from station.record.document_case import Case
from station.record.document_layout import Row, Table

NOT_NOTED: Final = "not noted"
_ITEMS: Final = (
    "Items of the rule files in use, each with its paragraph and basis, when it was noted and by whom; one "
    "that was `not noted` may have been done all the same."
)


def before_dive_tables(case: Case) -> list[Table]:
    """Return the tables of planning and briefing."""
    note = f"{_ITEMS} late: noted after the diver had left the surface."
    return [
        Table("planning", "Planning before the dive", {"items": _items(case, "planning")}, note),
        Table("briefing", "Briefing before the dive", {"items": _items(case, "briefing")}, note),
    ]


def after_dive_tables(case: Case) -> list[Table]:
    """Return the tables of what followed the dive."""
    return [_told(case), _sickness(case), _casualty(case)]


def _items(case: Case, part: Part) -> list[Row]:
    dive = circumstances(case.board, case.lane, case.dive)
    noted = entered(case.lane, DUTY_KINDS[part])
    return [_item(case, one, noted) for one in duties(case.setup.authorities, part, dive)]


def _item(case: Case, one: Duty, noted: Sequence[PlanningChecked | BriefingDone | DiverTold]) -> Row:
    found = [event for event in noted if one.id in event.items]
    left = case.mark("left_surface")
    people = [person for event in found if isinstance(event, BriefingDone) for person in event.people]
    before = not isinstance(found[0], DiverTold) if found else False
    late = before and left is not None and found[0].at > left.at
    return {
        "item": one.id,
        "what": one.what,
        "paragraphs": list(one.paragraphs),
        "basis": list(one.basis),
        "noted": found[0].at if found else NOT_NOTED,
        "late": late or None,
        "people": list(dict.fromkeys(people)) or None,
        "by": found[0].by if found else None,
    }


def _told(case: Case) -> Table:
    return Table(
        "told",
        "After the dive: what the diver was told, observation",
        {"items": _items(case, "told"), **_observation(case)},
        f"{_ITEMS} The observation begins at the surface, or on leaving the chamber, and is shown after the "
        "dive was closed too.",
    )


def _observation(case: Case) -> Row:
    rule = observation(case.setup.authorities, circumstances(case.board, case.lane, case.dive))
    if rule is None:
        return {"observation": "none asked for"}
    now = observed_now(rule, out_of_pressure(case.board, case.lane, case.closed.at), case.closed.at)
    ended = next(iter(entered(case.lane, ObservationEnded)), None)
    return {
        "observation": f"{rule.minutes} min: {rule.what}",
        "observation_by": rule.paragraph,
        "observed_from": now.begun,
        "observed_until": now.until,
        "ended": ended.at if ended else None,
        "ended_words": ended.text if ended else "not noted as ended when the dive was closed",
        "ended_early": (now.until is None or ended.at < now.until or None) if ended else None,
        "ended_by": ended.by if ended else None,
    }


def _sickness(case: Case) -> Table:
    suspected: list[Row] = [
        {
            "at": one.at,
            "symptoms": one.symptoms,
            "onset": one.onset,
            "onset_fsw": one.onset_fsw,
            "by": one.by,
        }
        for one in entered(case.lane, SicknessSuspected)
    ]
    treated: list[Row] = [
        {"at": one.at, "treatment": one.treatment, "results": one.results, "by": one.by}
        for one in entered(case.lane, SicknessTreated)
    ]
    return Table(
        "sickness",
        "Decompression sickness",
        {
            "suspected": circumstances(case.board, case.lane, case.dive).sickness,
            "symptoms": suspected or None,
            "treatment": treated or None,
        },
        "Suspected by an entry, or by the emergency card that is for it.",
    )


def _casualty(case: Case) -> Table:
    rows: list[Row] = [
        {"at": one.at, "what": one.what, "circumstances": one.circumstances, "by": one.by}
        for one in entered(case.lane, CasualtyNoted)
    ]
    return Table("casualty", "Death or injury", {"noted": bool(rows), "circumstances": rows or None})
