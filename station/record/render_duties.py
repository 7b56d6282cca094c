"""What the law asks for, as a printed record says it: duties before and after the dive, fields, gaps."""

from collections.abc import Iterator
from typing import Final

from station.record.render_page import Row
from station.record.render_told import Told

Pairs = list[tuple[str, str]]
_NOT_NOTED: Final = "not noted"


def noted(told: Told, table: str) -> list[str]:
    """Return each item of planning, briefing or what the diver was told that was noted, when and by whom."""
    return [_noted(told, row) for row in told.rows(table, "items") if row["noted"] != _NOT_NOTED]


def not_noted(told: Told, table: str) -> str:
    """Return the items that nobody noted, in one sentence; "" when there is none."""
    found = [row["what"] for row in told.rows(table, "items") if row["noted"] == _NOT_NOTED]
    return f"NOT NOTED: {'; '.join(found)}." if found else ""


def _noted(told: Told, row: Row) -> str:
    late = ", LATE: after leaving the surface" if row["late"] == "yes" else ""
    given = f", to {told.people(row, 'people')}" if "people" in row else ""
    return f"{row['what']}: {told.of(row, 'noted')}, {told.who(row)}{given}{late}"


def observation(told: Told) -> Pairs:
    """Return how long the diver was to be observed, and how it ended."""
    pairs = [("Observation", f"{told.text('told', 'observation')}; {told.text('told', 'observation_by')}")]
    if told.text("told", "observed_from") != "-":
        pairs += [
            (
                "Observed",
                f"from {told.text('told', 'observed_from')} until {told.text('told', 'observed_until')}",
            )
        ]
    ended = told.text("told", "ended_words")
    if ended != "-":
        at, by = told.text("told", "ended"), told.body.name(told.text("told", "ended_by"))
        early = "; ENDED EARLY" if told.text("told", "ended_early") == "yes" else ""
        pairs += [("Ended", ended if at == "-" else f"{at}: {ended} ({by}){early}")]
    return pairs


def harm(told: Told) -> Pairs:
    """Return sickness, its treatment, and death or injury."""
    pairs = [("Decompression sickness", f"suspected: {told.text('sickness', 'suspected')}")]
    pairs += [
        (
            "SYMPTOMS",
            f"{told.of(row)}: {row['symptoms']}; onset {told.of(row, 'onset')}{_deep(row)} ({told.who(row)})",
        )
        for row in told.rows("sickness", "symptoms")
    ]
    pairs += [
        ("TREATMENT", f"{told.of(row)}: {row['treatment']}; result: {row['results']} ({told.who(row)})")
        for row in told.rows("sickness", "treatment")
    ]
    pairs += [("Death or injury", f"noted: {told.text('casualty', 'noted')}")]
    pairs += [
        ("CASUALTY", f"{told.of(row)}: {row['what']}; {row['circumstances']} ({told.who(row)})")
        for row in told.rows("casualty", "circumstances")
    ]
    return pairs


def _deep(row: Row) -> str:
    return f" at {row['onset_fsw']} fsw" if "onset_fsw" in row else ""


def law(told: Told) -> Pairs:
    """Return whose rules this record answers, in which circumstances, and how long it is kept."""
    found = [
        ("Outside no-stop limits", "outside_no_stop"),
        ("Mixed gas", "mixed_gas"),
        ("Sickness suspected", "sickness_suspected"),
    ]
    circumstances = "; ".join(f"{words.lower()}: {told.text('law', key)}" for words, key in found)
    return [
        ("Rules of", told.text("law", "authorities")),
        ("Circumstances", circumstances),
        ("Keep until", f"{told.text('law', 'keep_until')}; {told.text('law', 'keep_by')}"),
    ]


def asked(told: Told) -> list[str]:
    """Return each field asked for: paragraph, what it is, and what answers it."""
    return [
        f"{row['paragraph']} {row['what']}: {_answer(row['answer'])}" for row in told.rows("law", "asked")
    ]


def _answer(answer: str) -> str:
    return answer if answer == "stands" else answer.upper()


def rules(told: Told) -> Iterator[str]:
    """Yield the rules on equipment, chamber and papers, each with its paragraph."""
    for row in told.rows("law", "equipment"):
        every = f", every {row['every_months']} months" if "every_months" in row else ""
        dated = f"; tests: {row['dated_under_supply_tests']}" if "dated_under_supply_tests" in row else ""
        rare = (
            f"; LESS OFTEN THAN ASKED: {row['less_often_than_asked']}"
            if "less_often_than_asked" in row
            else ""
        )
        yield f"{row['paragraph']}: {row['what']}{every}{dated}{rare}"
    for row in told.rows("law", "other"):
        yield f"{row['paragraph']} ({row['of']}): {row['what']}"


def gaps(told: Told) -> Pairs:
    """Return what was asked for and is missing, with the words on why."""
    return [
        (row["key"], f"{row['what']} ({row['paragraphs']}): {_why(told, row)}")
        for row in told.rows("gaps", "explained")
    ]


def _why(told: Told, row: Row) -> str:
    return f"{row['why']} ({told.who(row)}, {told.of(row)})" if "why" in row else "NOT EXPLAINED"
