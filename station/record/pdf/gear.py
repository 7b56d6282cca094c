"""Outfit, inspection and dressing in print."""

from itertools import groupby

from station.record.pdf.flow import Column, banks, columns, heading, pairs, paragraph
from station.record.pdf.sheet import Sheet
from station.record.render_page import Row, in_place
from station.record.render_told import Told


def outfit(sheet: Sheet, told: Told) -> None:
    """Print every piece with its number, that of its set, and its test."""
    heading(sheet, f"Outfit: {told.text('outfit', 'name')}")
    layout = [
        Column("Piece", 1.3),
        Column("Number", 0.5),
        Column("Set", 0.3),
        Column("Tested", 1.5),
    ]
    pieces = [
        [
            f"{row['title' if 'title' in row else 'piece']}{', REPLACED' if replaced else ''}",
            row["number"],
            row.or_nothing("stamped"),
            _tested(told, row),
        ]
        for row, replaced in in_place(told.rows("outfit", "pieces"), "piece")
    ]
    banks(sheet, layout, pieces, 2)
    aside = [
        ("SET ASIDE", f"{told.of(row)} {row['title']} {row['number']}: {row['failed']} ({told.who(row)})")
        for row in told.rows("outfit", "set_aside")
    ]
    pairs(sheet, aside, 0.11)


def _tested(told: Told, row: Row) -> str:
    what = f", {row['test']}" if "test" in row else ""
    return f"{told.of(row, 'tested')}{what}" if "tested" in row else ""


def inspection(sheet: Sheet, told: Told) -> None:
    """Print who passed what, and every item that failed or was remarked on."""
    heading(sheet, "Inspection before dressing")
    rows = told.rows("inspection", "items")
    for (by, result), found in groupby(rows, key=lambda row: (told.who(row), row["result"])):
        run = list(found)
        paragraph(sheet, f"{told.of(run[0])} to {told.of(run[-1])}: {len(run)} items {result}, {by}.")
    columns(sheet, [_looked(told, row) for row in rows], 3)


def _looked(told: Told, row: Row) -> str:
    failed = "" if row["result"] == "passed" else f" {row['result'].upper()}"
    remark = f"; {row['remark']}" if "remark" in row else ""
    look = row["look"] if "look" in row else row["item"]
    return f"{told.of(row)} {look}{failed}{remark}"


def dressing(sheet: Sheet, told: Told) -> None:
    """Print the steps of connecting up, dressing and undressing, and the work on the nuts."""
    heading(sheet, "Connecting up, dressing, undressing")
    columns(sheet, [_step(told, row) for row in told.rows("dressing", "steps")], 4)
    found: list[tuple[str, str]] = []
    for nut, rows in groupby(told.rows("dressing", "nuts"), key=lambda row: row["nut"]):
        run = list(rows)
        until = f" to {told.of(run[-1])}" if run[1:] else ""
        found.append((f"{told.of(run[0])}{until}", f"nuts {nut}: {' '.join(row['stud'] for row in run)}"))
    found += [
        ("HOLD RELEASED", f"{told.of(row)} {row['title']}; {row['reason']} ({told.who(row)})")
        for row in told.rows("dressing", "holds_released")
    ]
    pairs(sheet, found, 0.16)


def _step(told: Told, row: Row) -> str:
    checked = f" (checked: {told.who(row, 'checked_by')})" if "checked_by" in row else ""
    return f"{told.of(row)} {row['title'] if 'title' in row else row['step']}{checked}"
