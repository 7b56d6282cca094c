"""The end of a printed record: notes, corrections, other tables, addenda, files, signatures, caution."""

from station.caution import CAUTION
from station.errors import RecordError
from station.moments import iso
from station.record.pdf.flow import Column, heading, pairs, paragraph, table
from station.record.pdf.sheet import Sheet
from station.record.places import what_stands
from station.record.render_other import other_tables
from station.record.render_page import Row
from station.record.render_told import Told
from station.record.verify import Signed, Verdict

_LISTED = {True: "on the list", False: "NOT ON THE LIST", None: "not held against a list"}


def remarks(sheet: Sheet, told: Told) -> None:
    """Print incidents and notes."""
    heading(sheet, "Incidents and notes")
    found = [
        ("INCIDENT", f"{at} ({of}): {text} ({by})")
        for at, of, text, by in told.cells("remarks", "incidents", "at", "of", "text", "by")
    ]
    found += [
        (at, f"({of}) {text} ({by})")
        for at, of, text, by in told.cells("remarks", "notes", "at", "of", "text", "by")
    ]
    pairs(sheet, found or [("none", "")], 0.11)


def alarms(sheet: Sheet, told: Told) -> None:
    """Print every alarm raised, those of a priority in running text; nothing where the record has none."""
    rows = told.rows("alarms", "raised")
    if not rows:
        return
    heading(
        sheet, "Alarms: raised - cleared (of the dive or the station); by whom acknowledged, if anybody did"
    )
    found = []
    for priority in ("high", "medium", "low"):
        words = "; ".join(_alarm(told, row) for row in rows if row["priority"] == priority)
        found += [(priority.upper(), words)] if words else []
    pairs(sheet, found, 0.11)


def _alarm(told: Told, row: Row) -> str:
    end = told.of(row, "cleared") if "cleared" in row else "at the closing"
    noticed = f" (acknowledged {told.of(row, 'acknowledged')}, {told.who(row)})" if "by" in row else ""
    return f"{told.of(row)} - {end} ({row['of']}) {row['text']}{noticed}"


def corrections(sheet: Sheet, told: Told) -> None:
    """Print every field amended and every entry withdrawn."""
    heading(sheet, "Corrections")
    found = [
        (
            told.of(row),
            f"{_entry(row)}: {row['field']} was {row['was']}, is {row['is']}; {_why(told, row)}",
        )
        for row in told.rows("corrections", "amended")
    ]
    found += [
        (
            told.of(row),
            f"{_entry(row)} of {told.of(row, 'was_at')} withdrawn: {_why(told, row)}",
        )
        for row in told.rows("corrections", "withdrawn")
    ]
    pairs(sheet, found or [("none", "")], 0.11)


def _entry(row: Row) -> str:
    return f"entry {row['entry']} ({row['what']})"


def _why(told: Told, row: Row) -> str:
    return f"{row['reason']} ({told.who(row)})"


def others(sheet: Sheet, told: Told) -> None:
    """Print the tables that have no section of their own."""
    for name, found in other_tables(told.body):
        heading(sheet, name)
        pairs(sheet, found or [("none", "")], 0.22)


def files(sheet: Sheet, told: Told) -> None:
    """Print the files whose rules and figures stand behind the record."""
    heading(sheet, "Files in use")
    layout = [Column("Role", 0.4), Column("Name", 0.9), Column("SHA-256", 2.2)]
    table(sheet, layout, told.cells("files", "used", "role", "name", "sha256"))
    paragraph(sheet, f"Program: {told.text('record', 'program')}. Every entry stands in the record's file.")


def addenda(sheet: Sheet, data: bytes, verdict: Verdict) -> None:
    """Print what was corrected after signing; the sections still show what was signed first."""
    found = [(one, added) for one in verdict.signatures for added in one.addenda]
    if not found:
        return
    heading(sheet, "Addenda: read what follows with these corrections")
    rows = [
        [
            added.corrects,
            _stands(data, added.corrects),
            added.text,
            f"{added.reason} ({one.statement.name}, {iso(added.at)}, signature {one.number})",
        ]
        for one, added in found
    ]
    table(
        sheet,
        [Column("Place", 0.9), Column("Stands as"), Column("To stand", 1.2), Column("Reason", 1.6)],
        rows,
    )


def _stands(data: bytes, place: str) -> str:
    try:
        return what_stands(data, place)
    except RecordError:
        return "nothing in this record"


def signatures(sheet: Sheet, verdict: Verdict) -> None:
    """Print who signed with which key, who has yet to, and what verification found."""
    heading(sheet, "Signatures", lines=6)
    layout = [
        Column("", 0.12),
        Column("Name", 0.8),
        Column("As", 0.6),
        Column("At", 1),
        Column("Key", 2.2),
        Column("List", 0.8),
    ]
    table(sheet, layout, [_signer(one) for one in verdict.signatures])
    pairs(
        sheet, [(f"{one.number}. {one.statement.name}", one.statement.meaning) for one in verdict.signatures]
    )
    found = [("Verdict", f"{verdict.status}{': ' if verdict.problem else ''}{verdict.problem}")]
    if verdict.missing:
        found += [("NOT YET SIGNED BY", ", ".join(verdict.missing))]
    pairs(sheet, [*found, ("SHA-256 of the file", verdict.sha256)])


def _signer(one: Signed) -> list[str]:
    said = one.statement
    name = f"{said.name} ({said.person})"
    return [f"{one.number}", name, said.role, iso(said.at), said.key, _LISTED[one.listed]]


def caution(sheet: Sheet) -> None:
    """Print the cautioning sentence, and what became of letters that could not be shown."""
    sheet.room(sheet.line_height * 5)
    sheet.down(1.2)
    paragraph(sheet, CAUTION, bold=True)
    if sheet.letters.missed:
        paragraph(
            sheet,
            "A letter that this print cannot show stands by its Unicode number, as in [U+65E5]; the record's "
            "file has the letter itself.",
        )
