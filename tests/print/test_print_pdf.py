"""A record as a PDF: the same bytes every time, long words, many stops, tables that nobody heard of."""

import io
import os
import subprocess
import sys
import tomllib
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pypdf import PdfReader

from station.record.pdf.document import record_pdf
from station.record.verify import verify_bytes

if TYPE_CHECKING:
    from tests.print.conftest import Addend, Bodies, Body, Judge, Printable, Printer, Show, Write

SURVEY = "ossary-dam/gate-survey-1"


def tables(bodies: "Bodies", record: str) -> "Body":
    return tomllib.loads(bodies[record].decode())


def clock(moment: datetime) -> str:
    return f"{moment:%H:%M:%S}"


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


def test_a_mark_says_when_it_was_entered_only_where_it_was_entered_late(
    bodies: "Bodies", write: "Write", show: "Show"
) -> None:
    body = tables(bodies, SURVEY)
    for row, late_s in zip(body["times"]["marks"], (0.004, 95), strict=False):
        row["entered"] = row["at"] + timedelta(seconds=late_s)
    printed = show(write(body))
    entered = clock(body["times"]["marks"][1]["entered"])
    assert printed.joined.count("(entered") == 1
    assert f"(entered{entered})" in printed.joined
    assert "morethan2soffitstime" in printed.joined


def test_an_alarm_says_whose_it_was(bodies: "Bodies", write: "Write", show: "Show") -> None:
    """An alarm of the dive, or one of the whole station, as of its air."""
    body = tables(bodies, SURVEY)
    at = body["times"]["marks"][0]["at"]
    alarm = {"at": at, "priority": "medium", "cleared": at + timedelta(seconds=60)}
    raised = [("dive", "the schedule stepped"), ("station", "Manifold not read")]
    body["alarms"] = {"raised": [{**alarm, "of": of, "text": text} for of, text in raised]}
    printed = show(write(body))
    assert "(dive)theschedulestepped" in printed.joined
    assert "(station)Manifoldnotread" in printed.joined
    assert not printed.misplaced()


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
    assert printed.misplaced() == []
    assert printed.collisions() == []
    rows = "\n".join(printed.rows)
    for row in body["depth"]["readings"]:
        assert f"{clock(row['at'])} {row['reading_fsw']:g} {row['corrected_fsw']:g}" in rows


def reading(at: datetime, depth: int) -> dict[str, Any]:
    return {"at": at, "reading_fsw": float(depth), "corrected_fsw": float(depth + 2), "by": "tam-belcourt"}


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


def test_a_piece_that_another_took_the_place_of_says_so(
    bodies: "Bodies", write: "Write", show: "Show"
) -> None:
    body = tables(bodies, SURVEY)
    pieces = body["outfit"]["pieces"]
    pieces.insert(0, next(one for one in pieces if one["piece"] == "helmet") | {"number": "H-09"})
    printed = show(write(body))
    assert printed.says("Helmet, REPLACED H-09")
    assert printed.joined.count("REPLACED") == 1


def test_a_moment_of_another_day_carries_its_date(bodies: "Bodies", write: "Write", show: "Show") -> None:
    body = tables(bodies, SURVEY)
    body["after"]["closed"] += timedelta(days=1)
    assert show(write(body)).says("Closed 2031-05-05 08:48:40, Ines Oyelaran")


def test_an_addendum_stands_before_what_it_corrects(
    signed: "Printable", addend: "Addend", show: "Show"
) -> None:
    printed = show(addend(signed(SURVEY), "times.bottom_time_min", "35 minutes", "misread by a minute"))
    assert printed.verdict.sound
    assert printed.misplaced() == []
    rows = printed.rows
    assert rows.index("ADDENDA: READ WHAT FOLLOWS WITH THESE CORRECTIONS") < rows.index("DIVE")
    assert any(row.startswith("times.bottom_time_min 34 35 minutes misread by a minute") for row in rows)
