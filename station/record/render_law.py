"""What the law asks for, in a record's plain text: duties, observation, sickness, gaps, how long it is kept.

In full it stands in the record's file, and in the PDF.
"""

from collections.abc import Iterator
from typing import Final

from station.record.render_page import Body, Row

_LISTS: Final = (("Planning", "planning"), ("Briefing", "briefing"), ("Diver told", "told"))


def law_pairs(body: Body) -> Iterator[tuple[str, str]]:
    """Yield labels with what is told under each; nothing for a record without such tables."""
    for label, table in _LISTS:
        if rows := body.rows(table, "items"):
            yield label, _duties(body, rows)
    if "told" in body.document:
        yield "Observation", _observation(body)
    for row in body.rows("sickness", "symptoms"):
        yield (
            "SICKNESS SUSPECTED",
            f"{row['symptoms']}; since {row['onset']} at {row['onset_fsw']} fsw ({body.name(row['by'])})",
        )
    for row in body.rows("sickness", "treatment"):
        yield "Treatment", f"{row['treatment']}; results: {row['results']} ({body.name(row['by'])})"
    for row in body.rows("casualty", "circumstances"):
        yield row["what"].upper(), f"{row['circumstances']} ({body.name(row['by'])})"
    yield from _law(body)


def _duties(body: Body, rows: list[Row]) -> str:
    """Return how many items were noted, when and by whom, and those that were not, by their ids."""
    noted = [row for row in rows if "by" in row]
    if not noted:
        return f"NONE OF {len(rows)} NOTED"
    by = ", ".join(dict.fromkeys(f"{body.name(row['by'])} {row['noted']}" for row in noted))
    words = f"{len(noted)} of {len(rows)} noted ({by})"
    absent = ", ".join(row["item"] for row in rows if "by" not in row)
    return f"{words}; NOT NOTED: {absent}" if absent else words


def _observation(body: Body) -> str:
    words = body.text("told", "observation")
    until, ended = body.text("told", "observed_until"), body.text("told", "ended")
    if until != "-":
        words = f"{words}, until {until}"
    if ended != "-":
        early = ", EARLY" if body.flag("told", "ended_early") else ""
        return f"{words}; ended {ended}{early}: {body.text('told', 'ended_words')}"
    return words


def _law(body: Body) -> Iterator[tuple[str, str]]:
    if "law" not in body.document:
        return
    asked = body.rows("law", "asked")
    stand = sum(row["answer"] == "stands" for row in asked)
    yield (
        "Asked by law",
        f"{body.text('law', 'authorities')}: {len(asked)} fields, {stand} stand in this record",
    )
    for row in body.rows("gaps", "explained"):
        why = f"{row['why']} ({body.name(row['by'])})" if "why" in row else "NOT EXPLAINED"
        yield "MISSING", f"{row['what']} ({row['key']}, {row['paragraphs']}): {why}"
    until = body.text("law", "keep_until")
    if until != "-":
        yield "Kept at least until", f"{until} ({body.text('law', 'keep_by')})"
