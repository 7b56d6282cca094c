"""Every shipped drill's record as a PDF: its figures, its pages, and where the words stand on them."""

import io
import os
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from datetime import datetime, timedelta
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pypdf import PdfReader

from station.caution import CAUTION
from station.record.pdf.document import record_pdf
from station.record.verify import verify_bytes

if TYPE_CHECKING:
    from tests.print.conftest import Bodies, Body, Judge, Printable, Printed, Printer, Show, Word, Write

SURVEY = "ossary-dam/gate-survey-1"
EDGE = 12.0
FOOT = 15.0
SLACK = 0.4
"""Millimetres by which two libraries may differ over the length of a line."""


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
        assert any(f"page {number} of {count}" in row for row in rows_of(printed, page))


def rows_of(printed: "Printed", page: "tuple[Word, ...]") -> list[str]:
    return type(printed)(printed.data, printed.verdict, (page,), printed.size).rows


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
    keeps_its_place(printer(record))


def keeps_its_place(printed: "Printed") -> None:
    wide, high = printed.size
    for page in printed.pages:
        for word in (one for one in page if one.upright):
            assert word.x >= EDGE - SLACK, word
            assert word.end <= wide - EDGE + SLACK, word
            assert word.y <= high - 8, word
            assert word.y >= 6, word
            if word.y < FOOT:  # the baseline of what is not of the foot stays above it
                assert word.text.startswith(("SHA-256", "page ", "This print", "DRILL - nobody")), word


def test_no_words_run_into_each_other(record: str, printer: "Printer") -> None:
    runs_into_nothing(printer(record))


def runs_into_nothing(printed: "Printed") -> None:
    for page in printed.pages:
        lines: dict[float, list[Word]] = {}
        for word in page:
            if word.upright:
                lines.setdefault(round(word.y, 1), []).append(word)
        for line in lines.values():
            for one, other in pairwise(sorted(line, key=lambda word: word.x)):
                assert one.end <= other.x + SLACK, (one, other)


def test_letter_paper_has_its_own_size(bodies: "Bodies", write: "Write", judge: "Judge") -> None:
    data = write(tables(bodies, SURVEY))
    page = PdfReader(io.BytesIO(record_pdf(data, judge(data), "letter"))).pages[0]
    assert (float(page.mediabox.width), float(page.mediabox.height)) == (612, 792)  # 8.5 by 11 inches


def test_the_same_record_gives_the_same_bytes(
    signed: "Printable", printer: "Printer", judge: "Judge", tmp_path: Path
) -> None:
    """Another process, at another time, in another zone, with other hashes."""
    data, here = signed(SURVEY), printer(SURVEY)
    assert record_pdf(data, judge(data)) == here.data
    file = tmp_path / "any.toml"
    file.write_bytes(data)
    script = (
        "import sys, pathlib; from station.record.pdf.document import record_pdf\n"
        "from station.record.verify import verify_file\n"
        "path = pathlib.Path(sys.argv[1]); verdict = verify_file(path)\n"
        "path.with_suffix('.pdf').write_bytes(record_pdf(path.read_bytes(), verdict))"
    )
    env = {**os.environ, "PYTHONHASHSEED": "7", "TZ": "Pacific/Auckland"}
    subprocess.run([sys.executable, "-c", script, str(file)], check=True, env=env)
    assert file.with_suffix(".pdf").read_bytes() == record_pdf(data, verify_bytes(data))


def test_the_pdf_is_dated_by_the_closing_and_names_its_dive(printer: "Printer", bodies: "Bodies") -> None:
    about = PdfReader(io.BytesIO(printer(SURVEY).data)).metadata
    assert about is not None
    assert about.creation_date == tables(bodies, SURVEY)["after"]["closed"].replace(microsecond=0)
    assert about.title == "Gate survey, Ossary Dam, lane 1: Jona Strand"


def test_a_real_dive_bears_no_mark_of_a_drill(bodies: "Bodies", write: "Write", show: "Show") -> None:
    body = tables(bodies, SURVEY)
    body["record"]["drill"] = False
    printed = show(write(body))  # its journal says otherwise, so it is not sound
    assert not any(word.text == "DRILL" or "DRILL -" in word.text for page in printed.pages for word in page)


def test_long_words_and_many_readings_stay_in_their_places(
    bodies: "Bodies", write: "Write", show: "Show"
) -> None:
    body = tables(bodies, SURVEY)
    for person in body["people"]["team"]:
        person["name"] = f"{person['name']} {'Wolkenkratzerbaumeister' * 4} of the upper lake"
    body["dive"]["work"] = "Clearing the rack. " * 60
    start = body["times"]["marks"][0]["at"]
    body["depth"]["readings"] = [reading(start + timedelta(seconds=20 * n), 90 + n % 9) for n in range(180)]
    body["supply"]["readings"] = [
        {**row, "at": row["at"] + timedelta(seconds=n)}
        for n in range(20)
        for row in body["supply"]["readings"]
    ]
    printed = show(write(body))
    assert printed.verdict.sound
    assert len(printed.pages) > 3
    keeps_its_place(printed)
    runs_into_nothing(printed)
    rows = "\n".join(printed.rows)
    for row in body["depth"]["readings"]:
        assert f"{clock(row['at'])} {row['reading_fsw']:g} {row['corrected_fsw']:g}" in rows


def reading(at: datetime, depth: int) -> dict[str, Any]:
    return {"at": at, "reading_fsw": float(depth), "corrected_fsw": float(depth + 2), "by": "tam-belcourt"}


def test_twenty_stops_stand_planned_beside_served(bodies: "Bodies", write: "Write", show: "Show") -> None:
    body = tables(bodies, "ossary-dam/overrun-1")
    first = body["ascent"]["stops"][0]
    body["ascent"]["stops"] = [
        {**first, "depth": float(depth), "minutes": depth, "served_s": 60 * depth + 7}
        for depth in range(200, 0, -10)
    ]
    printed = show(write(body))
    keeps_its_place(printed)
    runs_into_nothing(printed)
    for depth in range(200, 0, -10):
        assert printed.says(f"{depth} {depth} min {depth}:07")


def test_a_dive_without_stops_says_so(printer: "Printer") -> None:
    printed = printer("ossary-dam/rack-look-over-1")
    assert printed.says("no stops in the water")
    assert printed.says("From leaving the bottom to the surface; no stops in the water")


def test_the_chamber_stands_in_print(printer: "Printer") -> None:
    printed = printer("ossary-dam/surface-oxygen-1")
    assert printed.says("Oxygen served 30:00")
    assert printed.says("50 fsw 15 min, 40 fsw 15 min")


def test_an_unheard_of_table_is_printed_as_it_stands(bodies: "Bodies", write: "Write", show: "Show") -> None:
    body = tables(bodies, SURVEY)
    body["harbour_board"] = {
        "licence": "HB-77",
        "passes": [{"at": body["after"]["closed"], "number": 4, "by": "ines-oyelaran"}],
        "more": {"deep": {"deeper": True}},
    }
    printed = show(write(body))
    assert printed.says("HARBOUR BOARD")
    assert printed.says("licence HB-77")
    assert printed.says("number: 4; by: Ines Oyelaran")
    assert "deeper:yes" in printed.joined


def test_corrections_and_incidents_stand_in_print(bodies: "Bodies", write: "Write", show: "Show") -> None:
    body, at = tables(bodies, SURVEY), datetime.fromisoformat("2031-05-04T07:50:00Z")
    body["corrections"]["amended"] = [
        {"at": at, "entry": 91, "what": "bank 1 read", "field": "pressure_psig", "was": "2950", "is": "2850",
         "reason": "misheard", "by": "tam-belcourt"}
    ]  # fmt: skip
    body["remarks"]["incidents"] = [
        {"at": at, "of": "dive", "text": "Telephone silent", "by": "tam-belcourt"}
    ]
    printed = show(write(body))
    assert printed.says("entry 91 (bank 1 read): pressure_psig was 2950, is 2850; misheard (Tam Belcourt)")
    assert printed.says("INCIDENT 07:50:00 (dive): Telephone silent (Tam Belcourt)")


def test_a_moment_of_another_day_carries_its_date(bodies: "Bodies", write: "Write", show: "Show") -> None:
    body = tables(bodies, SURVEY)
    body["after"]["closed"] += timedelta(days=1)
    assert show(write(body)).says("Closed 2031-05-05 08:48:40, Ines Oyelaran")
