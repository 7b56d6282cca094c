"""Decompression in print: stops planned and served, what differed, the schedule and how it came about."""

from typing import Final

from station.record.pdf.flow import Column, banks, double_pairs, heading, pairs, paragraph, table
from station.record.pdf.sheet import Sheet
from station.record.render_page import Row, mmss, site_stops
from station.record.render_told import Told

_SLIGHT: Final = frozenset({"let pass", "recorded"})
"""Effects of a delay that changed nothing."""


def stops(sheet: Sheet, told: Told) -> None:
    """Print each stop as it was due beside what was done, then everything that differed."""
    heading(sheet, "Stops, planned and served")
    due = mmss(told.text("ascent", "due_at_first_stop_s"))
    taken = mmss(told.text("times", "time_to_first_stop_s"))
    rows = told.rows("ascent", "stops")
    where = "the first stop" if rows else "the surface; no stops in the water"
    paragraph(sheet, f"From leaving the bottom to {where}: {due} by the table, {taken} as taken.")
    layout = [
        Column(f"Depth, {told.text('ascent', 'unit')}", 0.8, "right"),
        Column("Planned", 0.8, "right", bold=True),
        Column("Served", 0.8, "right", bold=True),
        Column("Missing", 0.8, "right"),
        Column("Due", 1),
        Column("Reached", 1),
        Column("Due to leave", 1),
        Column("Left", 1),
        Column("State", 1.2),
    ]
    if rows:
        table(sheet, layout, [_stop(told, row) for row in rows])
    _differed(sheet, told)


def _stop(told: Told, row: Row) -> list[str]:
    gas = " on oxygen" if row["on_oxygen"] == "yes" else ""
    return [
        row["depth"],
        f"{row['minutes']} min",
        mmss(row["served_s"]),
        mmss(row["missing_s"]),
        told.of(row, "due_arrive"),
        told.of(row, "reached"),
        told.of(row, "due_leave"),
        told.of(row, "left"),
        f"{row['state']}{gas}",
    ]


def _differed(sheet: Sheet, told: Told) -> None:
    unit = told.text("ascent", "unit")
    found = [_delay(told, row, unit) for row in told.rows("ascent", "delays")]
    found += [("OMITTED", row["what"]) for row in told.rows("ascent", "omitted")]
    found += [
        ("CARD", f"{told.of(row)} {row['card']}, {row['what']}: {row['words']} ({told.who(row)})")
        for row in told.rows("cards", "entries")
    ]
    pairs(sheet, found or [("Deviations", "none")], 0.11)


def _delay(told: Told, row: Row, unit: str) -> tuple[str, str]:
    """Return a delay in words; in capitals when it changed something."""
    slight = row["effect"] in _SLIGHT and row["counted_min"] == "0"
    where = f"{row['where']}, {row['from_depth']} to {row['to_depth']} {unit}: due {told.of(row, 'due')}"
    late = f"{mmss(row['delay_s'])} late, counted as {row['counted_min']} min; effect: {row['effect']}"
    return "Delay" if slight else "DELAY", f"{where}, {late}"


def schedule(sheet: Sheet, told: Told) -> None:
    """Print the schedule in force and the trail of rules behind it."""
    heading(sheet, "Schedule")
    unit = told.text("schedule", "unit")
    owed = [f"{row['depth']} {unit} {row['minutes']} min" for row in told.rows("schedule", "stops_owed")]
    entered = (
        f"{told.text('schedule', 'time_entered_min')} min at "
        f"{told.text('schedule', 'depth_entered_fsw')} fsw: "
        f"residual {told.text('schedule', 'residual_nitrogen_time_min')}, "
        f"bottom {told.text('schedule', 'bottom_time_min')}, delays {told.text('schedule', 'delays_min')}"
    )
    company = told.text("schedule", "company_min")
    oxygen = any(row["gas"] != "air" for row in told.rows("supply", "gas_chosen"))
    double_pairs(
        sheet,
        [
            ("Schedule", told.text("schedule", "designation")),
            ("Entered with", entered if company == "-" else f"{entered}, of company {company}"),
            ("Table's stops on air" if oxygen else "Table's stops", ", ".join(owed) or "none"),
            ("Modification", told.text("schedule", "modification")),
        ],
        [
            ("Table", told.text("schedule", "table")),
            ("Why", told.text("schedule", "why")),
            ("Exposure", told.text("schedule", "exposure")),
            ("For diving", told.text("schedule", "for_diving")),
        ],
    )
    sheet.down(0.6)
    layout = [
        Column("Time", 0.5),
        Column("Rule", 0.8),
        Column("What", 2.3),
        Column("Schedule", 0.55),
        Column("Stops", 0.9),
        Column("Source", 2.3),
    ]
    table(sheet, layout, told.cells("schedule", "trail", "at", "rule", "what", "schedule", "stops", "source"))


def oxygen_and_chamber(sheet: Sheet, told: Told) -> None:
    """Print oxygen in the water and the chamber; nothing where there was neither."""
    breathed = told.text("oxygen", "breathed") == "yes"
    marks = told.rows("chamber", "marks")
    chosen = told.cells("supply", "gas_chosen", "at", "gas", "reason", "by")
    if not (breathed or marks or chosen):
        return
    heading(sheet, "Oxygen and chamber")
    found = [("Gas chosen", f"{at}: {gas}; {why} ({by})") for at, gas, why, by in chosen]
    if breathed:
        served, breaks = mmss(told.text("oxygen", "time_on_oxygen_s")), told.text("oxygen", "air_breaks")
        lost = told.text("oxygen", "lost")
        found += [("In the water", f"on oxygen {served}, air breaks {breaks}, oxygen lost: {lost}")]
    if marks:
        planned = [
            f"{row['depth_fsw']} fsw {row['minutes']} min" for row in told.rows("chamber", "oxygen_planned")
        ]
        missing = told.text("chamber", "missing")
        found += [
            (
                "Interval",
                f"{mmss(told.text('chamber', 'interval_s'))}; {told.text('chamber', 'interval_rule')}",
            ),
            ("Oxygen planned", ", ".join(planned) or "none"),
            ("Oxygen served", mmss(told.text("chamber", "time_on_oxygen_s"))),
            ("MISSING" if missing not in {"", "-"} else "Missing", missing or "nothing"),
        ]
    pairs(sheet, found, 0.13)
    layout = [Column("Time", 0.4), Column("Chamber mark", 1), Column("fsw", 0.25, "right"), Column("By", 0.6)]
    cells = [[told.of(row), row["mark"], row.or_nothing("depth_fsw"), told.who(row)] for row in marks]
    banks(sheet, layout, cells, 2)


def before_and_after(sheet: Sheet, told: Told) -> None:
    """Print earlier dives, the group, flying, altitude and company."""
    heading(sheet, "Earlier dives, group, altitude")
    found = [
        ("Last exposure", f"{told.text('repetitive', 'since_last_exposure')}{_last(told)}"),
        (
            "Residual nitrogen",
            f"{told.text('repetitive', 'residual_nitrogen_time_min')} min; {told.text('repetitive', 'why')}",
        ),
        ("Group after", told.text("repetitive", "group_after")),
        ("Flying", f"{told.text('repetitive', 'flying')}; {told.text('repetitive', 'wait_before_flying')}"),
        ("Altitude", f"{told.text('station', 'altitude_ft')} ft; {told.text('altitude', 'why')}"),
    ]
    found += [("Stops here", words) for words in site_stops(told.body)]
    found += [
        ("Decided", "; ".join(row))
        for row in told.cells("repetitive", "decided", "at", "what", "reason", "by")
    ]
    found += [
        ("Arrived", f"{arrived} from {feet} ft (noted {at}, {by})")
        for at, arrived, feet, by in told.cells("altitude", "arrived", "at", "arrived", "from_ft", "by")
    ]
    found += [
        ("Company", f"{told.of(row)}: lanes {row['lanes']} {row['what']}; {row['reason']} ({told.who(row)})")
        for row in told.rows("company", "entries")
    ]
    if told.text("schedule", "figures_of") != "-":
        found += [("Figures of", told.text("schedule", "figures_of"))]
    pairs(sheet, found, 0.13)
    _earlier(sheet, told)


def _earlier(sheet: Sheet, told: Told) -> None:
    """Print each earlier dive; nothing where none is known."""
    earlier = told.cells(
        "repetitive",
        "earlier",
        "source",
        "surfaced",
        "group",
        "depth_entered",
        "bottom_time_min",
        "added_min",
    )
    layout = [
        Column("Earlier dive", 2),
        Column("At surface", 1.1),
        Column("Group", 0.7),
        Column("Depth entered", 0.7, "right"),
        Column("Bottom, min", 0.7, "right"),
        Column("Added, min", 0.7, "right"),
    ]
    if earlier:
        table(sheet, layout, earlier)


def _last(told: Told) -> str:
    last = told.text("repetitive", "last_exposure")
    return "" if last == "-" else f"; {last}, group then {told.text('repetitive', 'group_then')}"
