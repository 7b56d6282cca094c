"""Readings and the air in print."""

from station.record.pdf.flow import Column, banks, heading, pairs, paragraph, table
from station.record.pdf.sheet import Sheet
from station.record.render_told import Told


def readings(sheet: Sheet, told: Told) -> None:
    """Print every depth and every pressure that was read."""
    depths = told.cells("depth", "readings", "at", "reading_fsw", "corrected_fsw", "by")
    layout = [Column("Time", 0.8), Column("Read fsw", 0.65, "right"), Column("Corrected", 0.7, "right")]
    _read(sheet, "Depth readings", layout, depths)
    pressures = told.cells("supply", "readings", "at", "name", "pressure_psig", "by")
    layout = [Column("Time", 0.8), Column("Gauge", 0.85), Column("psig", 0.5, "right")]
    _read(sheet, "Pressure readings", layout, pressures)


def _read(sheet: Sheet, title: str, layout: list[Column], rows: list[list[str]]) -> None:
    """Print readings; the reader stands beside each, or once above them when all are by one person."""
    readers = {row[-1] for row in rows}
    if len(readers) == 1:
        heading(sheet, f"{title}, all by {readers.pop()}")
        banks(sheet, layout, [row[:-1] for row in rows], 4)
        return
    heading(sheet, title)
    banks(sheet, [*layout, Column("By", 1.1)], rows, 3)
    if not rows:
        paragraph(sheet, "none")


def air(sheet: Sheet, told: Told) -> None:
    """Print the sources, what became of them, the sums and the tests."""
    heading(sheet, "Air supply")
    layout = [
        Column("Source", 0.9),
        Column("Role", 0.8),
        Column("Feeds", 1.5),
        Column("Flasks on line", 0.8, "right"),
        Column("Flask, cu ft", 0.7, "right"),
        Column("Working psig", 0.8, "right"),
        Column("Minimum psig", 0.8, "right"),
        Column("Delivers scfm", 0.8, "right"),
    ]
    keys = ("name", "role", "feeds", "flasks_on_line", "floodable_cu_ft", "working_psig", "minimum_psig")
    table(sheet, layout, told.cells("supply", "sources", *keys, "delivers_scfm"))
    changes = told.cells("supply", "changes", "at", "what", "by")
    pairs(sheet, [(at, f"{what} ({by})") for at, what, by in changes], 0.11)
    _sums(sheet, told)
    _tests(sheet, told)


def _sums(sheet: Sheet, told: Told) -> None:
    layout = [
        Column("Air then", 0.6),
        Column("When", 0.8),
        Column("Way", 1.1),
        Column("Need scf", 0.6, "right"),
        Column("Usable", 0.6, "right"),
        Column("Reserve", 0.6, "right"),
        Column("Spare", 0.6, "right"),
        Column("Covered", 0.7),
    ]
    keys = ("at", "when", "way", "need_scf", "usable_scf", "reserve_scf", "spare_scf", "covered")
    rows = told.cells("supply", "sums", *keys)
    sheet.down(0.8)
    table(sheet, layout, [[*row[:-1], "yes" if row[-1] == "yes" else "NOT COVERED"] for row in rows])
    paragraph(sheet, "Sums for everybody in the water; a source that was not read is not counted.")


def _tests(sheet: Sheet, told: Told) -> None:
    layout = [
        Column("Test", 1.2),
        Column("Done", 0.6),
        Column("Due", 0.6),
        Column("State", 0.7),
        Column("Result", 3),
        Column("By", 0.7),
    ]
    rows = [
        [
            row["name"],
            told.of(row, "on"),
            told.of(row, "due"),
            row["state"] if row["state"] == "in date" else row["state"].upper(),
            row["result"],
            told.who(row) if "by" in row else "-",
        ]
        for row in told.rows("supply", "tests")
    ]
    sheet.down(0.8)
    table(sheet, layout, rows)
