"""The head of a printed record: verdict, title, dive, people, conditions, times, and the plot."""

from typing import Final

from station.record.pdf import plot
from station.record.pdf.flow import Column, banks, double_pairs, heading, pairs, paragraph, table, wrap
from station.record.pdf.profile import profile
from station.record.pdf.sheet import DRILL_LINE, Sheet
from station.record.render_marks import LEGEND, entered_apart
from station.record.render_page import Row, mmss
from station.record.render_told import Told
from station.record.verify import Verdict

_TITLE: Final = 15.0
_PADDING: Final = 1.6


def title_block(sheet: Sheet, told: Told | None) -> None:
    """Print what this is, of which operation, where and when."""
    sheet.put(sheet.left, sheet.y, "RECORD OF A DIVE", _TITLE, bold=True)
    if told is not None:
        lane = f"dive (lane) {told.text('dive', 'lane')}"
        sheet.put(sheet.right, sheet.y, f"{told.text('dive', 'date')}, {lane}", 11, bold=True, align="right")
    sheet.down(7.2)
    if told is not None:
        paragraph(sheet, told.text("operation", "title"), bold=True)
        paragraph(sheet, f"{told.text('station', 'name')}; {told.text('station', 'place')}")
    if sheet.furniture.drill:
        sheet.put(sheet.left, sheet.y, DRILL_LINE, bold=True)
        sheet.down(sheet.line_height)


def verdict_box(sheet: Sheet, verdict: Verdict) -> None:
    """Print the verdict: one line where the record is sound, a box across the page where it is not."""
    if verdict.sound:
        names = ", ".join(f"{one.statement.name} as {one.statement.role}" for one in verdict.signatures)
        sheet.down(0.6)
        listed = all(one.listed for one in verdict.signatures)
        held = "" if listed else " Held against no list of signers: which keys signed, not whose they are."
        paragraph(sheet, f"Verdict: sound. Signed by {names}.{held}")
        return
    words = f"NOT SOUND: {verdict.status.upper()}"
    told = f"{verdict.problem[:1].upper()}{verdict.problem[1:]}. Do not rely on what is printed here."
    width = sheet.width - 2 * _PADDING
    lines = [*wrap(sheet, words, width, bold=True), *wrap(sheet, told, width)][:12]
    height = sheet.line_height * len(lines) + 2 * _PADDING
    sheet.down(1)
    sheet.set_line_width(0.9)
    sheet.rect(sheet.left, sheet.y, sheet.width, height)
    for number, line in enumerate(lines):
        top = float(sheet.y) + _PADDING + number * sheet.line_height
        sheet.put(sheet.left + _PADDING, top, line, bold=not number)
    sheet.down(height + 1)


def dive(sheet: Sheet, told: Told) -> None:
    """Print the dive, its people and the conditions."""
    heading(sheet, "Dive")
    planned = f"{told.text('dive', 'planned_depth_fsw')} fsw for {told.text('dive', 'planned_time_min')} min"
    double_pairs(
        sheet,
        [
            ("Diver", told.text("dive", "diver_name")),
            ("Mode", told.text("dive", "mode")),
            ("Work", told.text("dive", "work")),
        ],
        [
            ("Under water", f"{told.text('dive', 'started')} to {told.text('dive', 'finished')}"),
            ("Planned", f"{planned}, at {told.text('dive', 'planned')}"),
            ("Operation opened", told.text("operation", "opened")),
        ],
    )
    heading(sheet, "People")
    team = [[row["name"], row["duties"] or "no duty on this dive"] for row in told.rows("people", "team")]
    banks(sheet, [Column("Name", 0.9), Column("On this dive", 1.1)], team, 2)
    _conditions(sheet, told)


def _conditions(sheet: Sheet, told: Told) -> None:
    heading(sheet, "Conditions")
    last = told.body.document.get("conditions")
    rows = [*told.rows("conditions", "earlier"), *([Row(last)] if isinstance(last, dict) else [])]
    layout = [
        Column("Noted", 0.5),
        Column("Visibility", 1.2),
        Column("Water, C", 0.4),
        Column("Current", 1.2),
        Column("Surface", 1.2),
        Column("By", 0.8),
    ]
    keys = ("at", "visibility", "water_temperature_c", "current", "surface")
    table(sheet, layout, [[*(told.of(row, key) for key in keys), told.who(row)] for row in rows])


def times(sheet: Sheet, told: Told) -> None:
    """Print marks and figures, and the plot."""
    heading(sheet, "Times and depth (UTC)")
    layout = [Column("Time", 0.42), Column("Mark", 0.72), Column("fsw", 0.26, "right"), Column("By", 0.7)]
    banks(sheet, layout, [_mark(told, row) for row in told.rows("times", "marks")], 2)
    paragraph(sheet, LEGEND)
    sheet.down(0.8)
    double_pairs(
        sheet,
        [
            ("Bottom time", f"{told.text('times', 'bottom_time_min')} min, rounded up"),
            ("Descent", f"{told.text('times', 'descent_time_min')} min, rounded up"),
            ("Time to first stop", mmss(told.text("times", "time_to_first_stop_s"))),
            ("Decompression", mmss(told.text("times", "total_decompression_time_s"))),
            ("Time of dive", mmss(told.text("times", "total_time_of_dive_s"))),
        ],
        [
            (
                "Maximum depth",
                f"{told.text('depth', 'maximum_fsw')} fsw ({told.text('depth', 'maximum_origin')})",
            ),
            ("Deepest reading", f"{told.text('depth', 'deepest_reading_fsw')} fsw, uncorrected"),
            ("Left bottom from", f"{told.text('depth', 'left_bottom_from_fsw')} fsw"),
            ("Breathed", told.text("supply", "breathing_gas")),
            ("Voice checks", _voice(told)),
        ],
    )
    declared = told.cells("depth", "declared", "at", "depth_fsw", "reason", "by")
    pairs(
        sheet,
        [("Depth declared", f"{at}: {depth} fsw; {why} ({by})") for at, depth, why, by in declared],
        0.13,
    )
    _plot(sheet, told)


def _mark(told: Told, row: Row) -> list[str]:
    entered = f" (entered {told.of(row, 'entered')})" if entered_apart(told.body, row) else ""
    return [
        told.of(row),
        row["mark"] + entered,
        row.or_nothing("depth_fsw"),
        told.who(row),
    ]


def _voice(told: Told) -> str:
    checks = told.rows("voice", "checks")
    bad = [told.of(row) for row in checks if row["good"] != "yes"]
    return f"{len(checks)}, not good: {', '.join(bad) or 'none'}"


def _plot(sheet: Sheet, told: Told) -> None:
    found = profile(told.body)
    if found is None:
        paragraph(sheet, "The record tells too little to draw the dive.")
        return
    sheet.room(plot.HEIGHT + 18)
    sheet.down(1)
    plot.draw(sheet, found)
    paragraph(sheet, plot.LEGEND)
