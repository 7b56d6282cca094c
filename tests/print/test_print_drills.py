"""Every dive of every shipped drill, printed and exported: figures, pages, places of the words, schema."""

import csv
import io
import json
import tomllib
from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import TYPE_CHECKING, Any

from jsonschema import Draft202012Validator

from station.caution import CAUTION
from station.moments import iso
from station.record.export import as_csv, as_json
from station.shipped import shipped

if TYPE_CHECKING:
    from tests.print.conftest import Bodies, Body, Judge, Printable, Printer, Show, Write

SCHEMA: dict[str, Any] = json.loads(
    (shipped("configs") / "schemas" / "record.schema.json").read_text(encoding="utf-8")
)
VALIDATOR = Draft202012Validator(SCHEMA)


def tables(bodies: "Bodies", record: str) -> "Body":
    return tomllib.loads(bodies[record].decode())


def clock(moment: datetime) -> str:
    return f"{moment:%H:%M:%S}"


def minutes(seconds: int) -> str:
    return f"{seconds // 60}:{seconds % 60:02}"


def test_a_drill_fits_one_to_three_numbered_pages(record: str, printer: "Printer") -> None:
    printed = printer(record)
    count = len(printed.pages)
    assert 1 <= count <= 3
    for number, page in enumerate(printed.pages, start=1):
        assert any(word.text == f"page {number} of {count}" for word in page)


def test_a_drill_is_marked_across_every_page_and_at_its_foot(record: str, printer: "Printer") -> None:
    for page in printer(record).pages:
        across = [word for word in page if not word.upright and word.text == "DRILL"]
        assert len(across) == 1
        assert across[0].size >= 100
        assert page.index(across[0]) == 0  # under everything that is printed after it
        assert any("DRILL - nobody was in the water - DRILL" in word.text for word in page)


def test_the_digest_of_the_file_stands_on_every_page(record: str, printer: "Printer") -> None:
    printed = printer(record)
    for page in printed.pages:
        assert any(printed.verdict.sha256 in word.text for word in page)


def test_every_alarm_stands_in_print(record: str, printer: "Printer", bodies: "Bodies") -> None:
    told = tables(bodies, record).get("alarms", {"raised": []})["raised"]
    text = " ".join(" ".join(printer(record).rows).split())
    for one in told:
        assert f"{clock(one['at'])} -" in text
        assert one["text"].split(":")[0].split()[0] in text
    assert ("Alarms: raised" in text) == bool(told)


def test_every_mark_stop_and_reading_stands_in_print(
    record: str, printer: "Printer", bodies: "Bodies"
) -> None:
    printed, body = printer(record), tables(bodies, record)
    rows = "\n".join(printed.rows)
    for wanted in rows_wanted(body):
        assert wanted in rows, wanted


def rows_wanted(body: "Body") -> Iterator[str]:
    """Yield figures of a record as they must stand beside each other in print."""
    for mark in body["times"]["marks"]:
        depth = f" {mark['depth_fsw']:g}" if "depth_fsw" in mark else ""
        yield f"{clock(mark['at'])} {mark['mark']}{depth}"
    for read in body["depth"]["readings"]:
        yield f"{clock(read['at'])} {read['reading_fsw']:g} {read['corrected_fsw']:g}"
    for read in body["supply"]["readings"]:
        yield f"{clock(read['at'])} {read['name']} {read['pressure_psig']:g}"
    for stop in body["ascent"]["stops"]:
        times = " ".join(clock(stop[key]) for key in ("due_arrive", "reached", "due_leave", "left"))
        served = f"{minutes(stop['served_s'])} {minutes(stop['missing_s'])}"
        yield f"{stop['depth']:g} {stop['minutes']} min {served} {times} {stop['state']}"
    yield f"Bottom time {body['times']['bottom_time_min']} min"
    yield f"{minutes(body['times']['total_decompression_time_s'])}"
    yield f"Maximum depth {body['depth']['maximum_fsw']:g} fsw ({body['depth']['maximum_origin']})"
    yield f"Schedule {body['schedule']['designation']}"
    yield f"Group after {body['repetitive']['group_after']}"
    yield from (f"{one['name']} {one['role']}" for one in body["supply"]["sources"])


def test_people_pieces_trail_and_files_stand_in_print(
    record: str, printer: "Printer", bodies: "Bodies"
) -> None:
    printed, body = printer(record), tables(bodies, record)
    words = [body["operation"]["title"], body["station"]["place"], body["dive"]["work"]]
    words += [body["journal"]["head_hash"], body["after"]["condition"]]
    words += [person["name"] for person in body["people"]["team"]]
    words += [piece["number"] for piece in body["outfit"]["pieces"]]
    words += [used["sha256"] for used in body["files"]["used"]]
    words += [step["title"] for step in body["dressing"]["steps"] if " " not in step["title"]]
    words += [line["schedule"] for line in body["schedule"]["trail"]]
    words += [clock(line["at"]) for line in body["schedule"]["trail"]]
    for word in words:
        assert "".join(word.split()) in printed.joined, word


def test_signers_their_keys_the_verdict_and_the_caution_stand_in_print(
    record: str, printer: "Printer"
) -> None:
    printed = printer(record)
    assert printed.verdict.sound
    for one in printed.verdict.signatures:
        assert printed.says(one.statement.key)
    assert printed.says("Verdict: sound. Signed by Tam-Belcourt as timekeeper")
    assert "".join(CAUTION.split()) in printed.joined


def test_nothing_stands_off_the_page_or_in_the_foot(record: str, printer: "Printer") -> None:
    assert printer(record).misplaced() == []


def test_no_words_run_into_each_other(record: str, printer: "Printer") -> None:
    assert printer(record).collisions() == []


def test_every_drill_passes_the_schema(record: str, signed: "Printable", judge: "Judge") -> None:
    data = signed(record)
    found = json.loads(as_json(data, judge(data)))
    assert [error.message for error in VALIDATOR.iter_errors(found)] == []
    assert found["verdict"]["sound"]


def test_the_schema_names_every_table_and_key_of_every_drill(record: str, bodies: "Bodies") -> None:
    """A key of a record that the schema does not know would be a key that nobody outside can rely on."""
    known = SCHEMA["properties"]["record"]["properties"]
    body = tomllib.loads(bodies[record].decode())
    assert set(body) <= set(known)
    for table, fields in body.items():
        assert set(fields) <= set(known[table]["properties"]), table
        for key, rows in listed(fields):
            named = known[table]["properties"][key]["items"]["properties"]
            assert all(set(row) <= set(named) for row in rows), (table, key)


def listed(fields: Mapping[str, Any]) -> Iterator[tuple[str, list[dict[str, Any]]]]:
    for key, value in fields.items():
        if isinstance(value, list) and value and isinstance(value[0], dict):
            yield key, value


def csv_rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_every_mark_and_reading_comes_back_from_the_csv(
    record: str, signed: "Printable", judge: "Judge", bodies: "Bodies"
) -> None:
    data, body = signed(record), tomllib.loads(bodies[record].decode())
    rows = csv_rows(as_csv(data, judge(data)))
    assert [row["time_utc"] for row in rows] == sorted(row["time_utc"] for row in rows)
    depths = [(iso(one["at"]), one["reading_fsw"], one["corrected_fsw"]) for one in body["depth"]["readings"]]
    assert depths == [
        (row["time_utc"], float(row["reading_fsw"]), float(row["corrected_fsw"]))
        for row in rows
        if row["kind"] == "depth"
    ]
    pressures = {(iso(one["at"]), one["name"], one["pressure_psig"]) for one in body["supply"]["readings"]}
    assert pressures == {
        (row["time_utc"], row["name"], float(row["pressure_psig"]))
        for row in rows
        if row["kind"] == "pressure"
    }
    marks = [(iso(one["at"]), one["mark"]) for one in body["times"]["marks"]]
    assert marks == [(row["time_utc"], row["name"]) for row in rows if row["kind"] == "mark"]
    assert sum(row["kind"] == "chamber" for row in rows) == len(body["chamber"]["marks"])


def test_the_chamber_stands_in_print(printer: "Printer") -> None:
    printed = printer("ossary-dam/surface-oxygen-1")
    assert printed.says("Oxygen served 30:00")
    assert printed.says("50 fsw 15 min, 40 fsw 15 min")


def test_a_dive_without_stops_says_so(printer: "Printer") -> None:
    printed = printer("ossary-dam/rack-look-over-1")
    assert printed.says("no stops in the water")
    assert printed.says("From leaving the bottom to the surface; no stops in the water")


def test_twenty_stops_stand_planned_beside_served(bodies: "Bodies", write: "Write", show: "Show") -> None:
    body = tables(bodies, "ossary-dam/overrun-1")
    first = body["ascent"]["stops"][0]
    body["ascent"]["stops"] = [
        {**first, "depth": float(depth), "minutes": depth, "served_s": 60 * depth + 7}
        for depth in range(200, 0, -10)
    ]
    printed = show(write(body))
    assert printed.misplaced() == []
    assert printed.collisions() == []
    for depth in range(200, 0, -10):
        assert printed.says(f"{depth} {depth} min {depth}:07")
