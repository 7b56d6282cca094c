"""The sections of a printed record, in the order in which they are read."""

from collections.abc import Callable, Iterator
from itertools import groupby
from typing import Final

from station.record.render_law import law_pairs
from station.record.render_marks import LEGEND, entered_apart
from station.record.render_notes import alarms, corrections, remarks
from station.record.render_other import other_tables
from station.record.render_page import Body, Row, columns, in_place, mmss, pairs, site_stops, wrapped


def _dive(body: Body) -> Iterator[str]:
    depth, minutes = body.text("dive", "planned_depth_fsw"), body.text("dive", "planned_time_min")
    yield from pairs(
        [
            ("Station, place", f"{body.text('station', 'name')}; {body.text('station', 'place')}"),
            ("Date (UTC)", f"{body.text('dive', 'date')}, lane {body.text('dive', 'lane')}"),
            ("Diver", body.text("dive", "diver_name")),
            ("Mode", body.text("dive", "mode")),
            ("Work", body.text("dive", "work")),
            ("Planned", f"{depth} fsw for {minutes} min{_sum_at(body, 'left surface')}"),
            (
                "Operation opened",
                f"{body.text('operation', 'opened')}; planned {body.text('dive', 'planned')}",
            ),
        ]
    )


def _people(body: Body) -> Iterator[str]:
    team = body.rows("people", "team")
    yield from columns([f"{row['name']}: {row['duties'] or 'no duty on this dive'}" for row in team], 2)


def _conditions(body: Body) -> Iterator[str]:
    yield from wrapped(
        f"Visibility {body.text('conditions', 'visibility')}; water "
        f"{body.text('conditions', 'water_temperature_c')} C; current {body.text('conditions', 'current')}; "
        f"surface {body.text('conditions', 'surface')}. Noted {body.text('conditions', 'at')}, "
        f"{body.name(body.text('conditions', 'by'))}."
    )


def _times(body: Body) -> Iterator[str]:
    rows = body.rows("times", "marks")
    yield from columns([_mark(body, row) for row in rows], 2)
    yield from wrapped(LEGEND) if rows else ()
    depth, air = body.text("depth", "maximum_fsw"), _sum_at(body, "left bottom")
    yield from pairs(
        [
            (
                "Bottom time",
                f"{body.text('times', 'bottom_time_min')} min, rounded up{air}",
            ),
            ("Time to first stop", mmss(body.text("times", "time_to_first_stop_s"))),
            ("Total decompression", mmss(body.text("times", "total_decompression_time_s"))),
            ("Total time of dive", mmss(body.text("times", "total_time_of_dive_s"))),
            ("Maximum depth", f"{depth} fsw ({body.text('depth', 'maximum_origin')})"),
            ("Deepest reading", f"{body.text('depth', 'deepest_reading_fsw')} fsw, uncorrected"),
        ]
    )


def _mark(body: Body, row: Row) -> str:
    depth = f" {row['depth_fsw']} fsw" if "depth_fsw" in row else ""
    entered = f" (entered {row['entered']})" if entered_apart(body, row) else ""
    return f"{row['at']}  {row['mark']}{depth}{entered}"


def _schedule(body: Body) -> Iterator[str]:
    unit = body.text("schedule", "unit")
    owed = [f"{row['depth']} {unit} {row['minutes']} min" for row in body.rows("schedule", "stops_owed")]
    yield from pairs(
        [
            ("Schedule", f"{body.text('schedule', 'designation')}, {body.text('schedule', 'table')}"),
            ("Why", body.text("schedule", "why")),
            ("Modification", body.text("schedule", "modification")),
            ("Exposure", body.text("schedule", "exposure")),
            ("Stops of the table", ", ".join(owed) or "none"),
            ("Last exposure", _last(body)),
            (
                "Group after the dive",
                f"{body.text('repetitive', 'group_after')}; {body.text('repetitive', 'flying')}",
            ),
        ]
    )
    if body.rows("repetitive", "earlier"):
        yield from pairs([("Earlier dives", body.text("repetitive", "why"))])
    if body.text("altitude", "corrected") == "yes":
        yield from pairs([("Altitude", body.text("altitude", "why"))])
        yield from pairs([("Stops at the site", words) for words in site_stops(body)])
    for row in body.rows("altitude", "arrived"):
        yield from pairs([("Arrived", f"{row['arrived']} from {row['from_ft']} ft ({body.name(row['by'])})")])
    for row in body.rows("depth", "declared"):
        said = f"{row['at']}: {row['depth_fsw']} fsw; {row['reason']} ({body.name(row['by'])})"
        yield from pairs([("Depth declared", said)])
    for row in body.rows("supply", "gas_chosen"):
        said = f"{row['at']}: {row['gas']}; {row['reason']} ({body.name(row['by'])})"
        yield from pairs([("Gas chosen", said)])
    if body.rows("company", "entries"):
        yield from pairs([("Figures of", body.text("schedule", "figures_of"))])
    for row in body.rows("company", "entries"):
        said = f"{row['at']}: lanes {row['lanes']} {row['what']} ({body.name(row['by'])})"
        yield from pairs([("Company", said)])
    for row in body.rows("schedule", "trail"):
        if row["rule"] == "plan" or ("was" in row and row["rule"] != "next longer row"):
            yield from wrapped(f"{row['at']}  {row['schedule']}: {row['what']}", indent=10)


def _last(body: Body) -> str:
    since, last = body.text("repetitive", "since_last_exposure"), body.text("repetitive", "last_exposure")
    return since if last == "-" else f"{since}; {last}, group then {body.text('repetitive', 'group_then')}"


def _stops(body: Body) -> Iterator[str]:
    yield from _stops_and_delays(body)
    yield from _oxygen_and_chamber(body)


def _stops_and_delays(body: Body) -> Iterator[str]:
    unit = body.text("ascent", "unit")
    due = mmss(body.text("ascent", "due_at_first_stop_s"))
    yield f"First stop, or the surface, due {due} after leaving the bottom"
    for row in body.rows("ascent", "stops"):
        yield from wrapped(
            f"{row['depth']} {unit}, {row['minutes']} min: due {row['due_arrive']}, "
            f"reached {row['reached']}, due to leave {row['due_leave']}, left {row['left']}, "
            f"served {mmss(row['served_s'])}, {row['state']}",
            indent=3,
        )
    for row in body.rows("ascent", "delays"):
        if row["counted_min"] == "0" and row["effect"] in {"let pass", "recorded"}:
            continue
        yield from wrapped(
            f"DELAY {row['where']}, {row['from_depth']} to {row['to_depth']} {unit}: due {row['due']}, "
            f"{mmss(row['delay_s'])} late, counted as {row['counted_min']} min; effect: {row['effect']}",
            indent=3,
        )
    for row in body.rows("schedule", "trail"):
        if row["rule"] in {"descent too fast", "ascent too fast"}:
            yield from wrapped(f"{row['at']}  {row['rule'].upper()}: {row['what']}", indent=10)
    for row in body.rows("ascent", "omitted"):
        yield from wrapped(f"OMITTED DECOMPRESSION: {row['what']}", indent=3)


def _oxygen_and_chamber(body: Body) -> Iterator[str]:
    """Yield oxygen, the chamber and cards; nothing where there was none of them."""
    if body.text("oxygen", "breathed") == "yes":
        served, breaks = mmss(body.text("oxygen", "time_on_oxygen_s")), body.text("oxygen", "air_breaks")
        yield f"Oxygen in the water {served}, air breaks {breaks}, lost: {body.text('oxygen', 'lost')}"
    marks = [
        f"{row['at']}  {row['mark']}" + (f" {row['depth_fsw']} fsw" if "depth_fsw" in row else "")
        for row in body.rows("chamber", "marks")
    ]
    if marks:
        yield from columns(marks, 2)
        yield from wrapped(f"Surface {body.text('chamber', 'interval_rule')}")
        yield f"Oxygen in the chamber {mmss(body.text('chamber', 'time_on_oxygen_s'))}"
        if body.text("chamber", "missing") not in {"", "-"}:
            yield from wrapped(f"MISSING: {body.text('chamber', 'missing')}", indent=3)
    for row in body.rows("cards", "entries"):
        said = f": {row['words']}" if "words" in row else ""
        yield from wrapped(f"{row['at']}  CARD {row['card']} {row['what']}{said}", indent=10)


def _readings(body: Body) -> Iterator[str]:
    depths = body.rows("depth", "readings")
    yield from columns(
        [f"{row['at']}  {row['reading_fsw']} fsw, corr. {row['corrected_fsw']}" for row in depths], 2
    )
    yield from columns(
        [
            f"{row['at']}  {row['name']} {row['pressure_psig']} psig"
            for row in body.rows("supply", "readings")
        ],
        2,
    )
    yield from _air(body)
    checks = body.rows("voice", "checks")
    good = sum(row["good"] == "yes" for row in checks)
    gas = body.text("supply", "breathing_gas")
    yield from wrapped(f"Voice checks: {len(checks)}, of them good: {good}. Breathed: {gas}")


def _air(body: Body) -> Iterator[str]:
    """Yield changes of source, sums that were not covered, tests not in date: the rest stands elsewhere."""
    for row in body.rows("supply", "changes"):
        yield from wrapped(f"{row['at']}  {row['what']}, {body.name(row['by'])}", indent=10)
    for row in body.rows("supply", "sums"):
        if row["covered"] != "yes" and row["when"] != "planned":
            yield from wrapped(f"{row['at']}  {row['when']}, {row['way']}: {_sum(row)}", indent=10)
    for row in body.rows("supply", "tests"):
        if row["state"] != "in date":
            yield from wrapped(f"{row['state'].upper()}: {row['name']}, {row['on']}", indent=3)


def _sum(row: Row) -> str:
    there = f"{row['usable_scf']} scf" if "usable_scf" in row else "what is not known"
    return f"{row['need_scf']} of {there}, {'covered' if row['covered'] == 'yes' else 'NOT COVERED'}"


def _sum_at(body: Body, when: str) -> str:
    """Return the first sum of a moment in words, "" where there is none."""
    found = next((row for row in body.rows("supply", "sums") if row["when"] == when), None)
    return "" if found is None else f"; air then: {_sum(found)}"


def _outfit(body: Body) -> Iterator[str]:
    yield from columns([_piece(*one) for one in in_place(body.rows("outfit", "pieces"), "piece")], 2)
    for row in body.rows("outfit", "set_aside"):
        yield from wrapped(
            f"SET ASIDE {row['at']}: {row['title']} {row['number']}: {row['failed']}", indent=3
        )


def _piece(row: Row, replaced: bool) -> str:  # noqa: FBT001 - as the pair comes
    stamped = f", set {row['stamped']}" if "stamped" in row else ""
    tested = f", tested {row['tested']}" if "tested" in row else ""
    return f"{row['title']} {row['number']}{stamped}{tested}{', REPLACED' if replaced else ''}"


def _inspection(body: Body) -> Iterator[str]:
    rows = body.rows("inspection", "items")
    for by, found in groupby([row for row in rows if row["result"] == "passed"], key=lambda row: row["by"]):
        run = list(found)
        yield f"{run[0]['at']} to {run[-1]['at']}: {len(run)} items passed, {body.name(by)}"
    for row in rows:
        if row["result"] != "passed" or "remark" in row:
            remark = f"; {row['remark']}" if "remark" in row else ""
            yield from wrapped(f"{row['at']}  {row['look']}: {row['result'].upper()}{remark}", indent=10)


def _dressing(body: Body) -> Iterator[str]:
    yield from columns([f"{row['at']} {row['title']}" for row in body.rows("dressing", "steps")], 2)
    for nut, found in groupby(body.rows("dressing", "nuts"), key=lambda row: row["nut"]):
        run = list(found)
        studs = " ".join(row["stud"] for row in run)
        until = f" to {run[-1]['at']}" if run[1:] else ""
        yield from wrapped(f"{run[0]['at']}{until}  nuts {nut}: {studs}", indent=10)
    for row in body.rows("dressing", "holds_released"):
        yield from wrapped(
            f"HOLD RELEASED {row['at']}: {row['title']}; {row['reason']} ({body.name(row['by'])})", indent=3
        )


def _after(body: Body) -> Iterator[str]:
    yield from pairs(
        [
            ("Condition", body.text("after", "condition")),
            ("Remarks", body.text("after", "remarks")),
            ("Closed", f"{body.text('after', 'closed')}, {body.name(body.text('after', 'by'))}"),
            ("Journal", f"{body.text('journal', 'head')} entries, chain head:"),
        ]
    )
    yield f"  {body.text('journal', 'head_hash')}"
    yield f"Program: {body.text('record', 'program')}. Every entry stands in the record's file."


def _law(body: Body) -> Iterator[str]:
    yield from pairs(list(law_pairs(body)))


def _others(body: Body) -> Iterator[str]:
    for name, found in other_tables(body):
        yield from wrapped(name.upper())
        yield from pairs(found)


SECTIONS: Final[tuple[tuple[str, Callable[[Body], Iterator[str]]], ...]] = (
    ("Dive", _dive),
    ("People", _people),
    ("Conditions", _conditions),
    ("Times and depth (UTC)", _times),
    ("Schedule", _schedule),
    ("Stops and deviations", _stops),
    ("Readings", _readings),
    ("Outfit", _outfit),
    ("Inspection", _inspection),
    ("Connecting up, dressing, undressing", _dressing),
    ("Incidents and notes", remarks),
    ("Alarms", alarms),
    ("Corrections", corrections),
    ("Duties, and what the law asks for", _law),
    ("After the dive", _after),
    ("Other tables", _others),
)
