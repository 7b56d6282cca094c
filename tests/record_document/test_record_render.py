"""A record in print: it fits the page, a drill cannot be mistaken, and no bad file breaks it."""

import tomllib
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import pytest
import tomli_w
from hypothesis import given, settings
from hypothesis import strategies as st

from station.events import NoteMade
from station.record.content import CONTENT_CHECKS
from station.record.render import as_text
from station.record.render_page import columns, mmss, plain, shown
from station.record.render_sections import SECTIONS
from station.record.verify import verify_bytes

if TYPE_CHECKING:
    from station.record.signers import AllowedSigners
    from tests.record_document.conftest import Begin, Sign

THREE_PAGES = 3 * 72
"""Lines that fit on three pages of A4 or Letter in common print."""


@pytest.fixture(scope="module")
def text(survey_body: bytes, sign: "Sign", listed: "AllowedSigners") -> str:
    data = sign(survey_body)
    return as_text(data, verify_bytes(data, listed, CONTENT_CHECKS))


def test_a_print_fits_three_pages_of_80_columns(text: str) -> None:
    lines = text.splitlines()
    assert max(map(len, lines)) <= 80
    assert len(lines) <= THREE_PAGES


def test_a_drill_is_marked_at_the_head_at_the_foot_and_across(text: str) -> None:
    lines = text.splitlines()
    assert "DRILL - NOBODY WAS IN THE WATER - DRILL" in lines[0]
    assert lines[-1] == lines[0]
    headings = [line for line in lines if line.startswith("==")]
    assert len(headings) == len(SECTIONS) + 2
    assert all(line.endswith(" DRILL ==") for line in headings)


def test_a_real_dive_bears_no_mark_of_a_drill(begin: "Begin", sign: "Sign") -> None:
    data = sign(begin("gate-survey.toml", drill=False).play().body())
    assert "DRILL" not in as_text(data, verify_bytes(data))


def test_verdict_signers_and_caution_are_told(text: str) -> None:
    head = text[: text.index("== DIVE")]
    assert "this file (DRILL): sound" in head
    assert "1. tam-belcourt (tam-belcourt) as timekeeper" in head
    assert "2. ines-oyelaran (ines-oyelaran) as supervisor" in head
    assert head.count("It is so.") == 2
    assert "This program advises; the supervisor decides." in text


@pytest.mark.parametrize(
    "words",
    [
        "Bottom time            34 min, rounded up",
        "Total decompression    30:40",
        "Total time of dive     64:20",
        "Time to first stop     2:54",
        "Maximum depth          107 fsw (read)",
        "Schedule               110/35, Air tables, U.S. Navy Revision 7",
        "Group after the dive   M",
        "20 fsw, 27 min: due 08:06:34, reached 08:06:34",
        "Helmet H-04, set 27",
        "Weighted belt BT-04, tested 2031-03-10",
        "27 items passed, Rua Kessing",
        "nuts tried: 1 2 3 4 5 6 7 8 9 10 11 12",
        "Ines Oyelaran: supervisor, person in",
        "07:26:00  Manifold 150 psig",
        "Voice checks: 9, of them good: 9. Breathed: air",
    ],
)
def test_what_people_look_for_is_on_the_page(words: str, text: str) -> None:
    assert words in text


def test_a_piece_that_another_took_the_place_of_says_so(survey_body: bytes) -> None:
    body = tomllib.loads(survey_body.decode())
    pieces = body["outfit"]["pieces"]
    pieces.insert(0, next(one for one in pieces if one["piece"] == "helmet") | {"number": "H-09"})
    data = tomli_w.dumps(body).encode()
    text = as_text(data, verify_bytes(data))
    assert "Helmet H-09, set 27, REPLACED" in text
    assert text.count("REPLACED") == 1


def test_a_rate_that_was_too_fast_stands_with_the_deviations(survey_body: bytes) -> None:
    """20 to 40 fsw a minute is accepted on the way up: U.S. Navy Revision 6 and 7, from memory."""
    body = tomllib.loads(survey_body.decode())
    fast = {"at": datetime(2031, 5, 4, 8, 34, 4, tzinfo=UTC), "rule": "ascent too fast", "what": "60 fsw/min"}
    body["schedule"]["trail"].append(fast)
    data = tomli_w.dumps(body).encode()
    told = as_text(data, verify_bytes(data)).split("== STOPS AND DEVIATIONS")[1]
    assert "08:34:04  ASCENT TOO FAST: 60 fsw/min" in told


def test_a_failed_item_a_deviation_and_a_correction_are_on_the_page(begin: "Begin") -> None:
    drill = begin("gate-survey.toml", ('at = "08:33:34.000"', 'at = "08:32:34.000"'))
    drill.play("dive.closed")
    drill.enter(NoteMade, lane=1, text="A very long word: " + "x" * 200)
    body = drill.play().body()
    text = as_text(body, verify_bytes(body))
    assert "OMITTED DECOMPRESSION: 20 fsw stop left early, 1:00 missing" in text
    assert max(map(len, text.splitlines())) <= 80
    assert "not yet signed" in text


def test_a_statement_of_a_drill_marks_the_page_when_the_body_denies_it(
    survey_body: bytes, sign: "Sign"
) -> None:
    data = sign(survey_body).replace(b"drill = true", b"drill = false", 1)
    verdict = verify_bytes(data)
    assert not verdict.sound
    assert "altered" in as_text(data, verdict)


@pytest.mark.parametrize(
    "data", [b"", b"hello\n", b"[record]\nformat = 99\nx = 1\n", b"[record]\nformat = 1\n[[[\n"]
)
def test_what_is_no_record_is_not_laid_out(data: bytes) -> None:
    text = as_text(data, verify_bytes(data))
    assert "cannot be laid out" in text
    assert verify_bytes(data).status in text


ODD: list[object] = [None, 5, "x", [1], [{}], {"a": 1}, [{"at": 3, "duties": 1}], 1.5, True, 2**63, [[]]]


@settings(max_examples=40, derandomize=True, deadline=None)
@given(st.data())
def test_no_body_however_odd_breaks_the_print(survey_body: bytes, data: st.DataObject) -> None:
    """Any value of any table of another kind than it should be, or missing."""
    document = tomllib.loads(survey_body.decode())
    for name in data.draw(st.lists(st.sampled_from(sorted(document)), max_size=4, unique=True)):
        value = data.draw(st.sampled_from(ODD))
        key = data.draw(st.sampled_from(["", *sorted(document[name])]))
        if key and value is not None:
            document[name][key] = value
        elif value is None or not key:
            document[name] = {} if value is None else value
    record = document.pop("record", {})
    body = b"[record]\nformat = 1\n" + tomli_w.dumps({"odd": record, **document}).encode()
    assert "RECORD OF A DIVE" in as_text(body, verify_bytes(body))


def test_nothing_a_terminal_acts_on_is_printed(survey_body: bytes) -> None:
    """A record that somebody else made may hold what our own entries refuse."""
    body = survey_body.replace(b'work = "Survey', b'work = "\\u001b[31mred\\u202e Survey')
    text = as_text(body, verify_bytes(body))
    assert "\\x1b[31mred\\u202e Survey" in text
    assert all(line.isprintable() for line in text.splitlines())


def test_values_are_shown_as_people_read_them() -> None:
    values: list[object] = [None, True, 5, 5.0, 9.5, ["a", 1], {}, 10**30]
    assert [shown(one) for one in values] == [
        "-",
        "yes",
        "5",
        "5",
        "9.5",
        "a, 1",
        "-",
        "-",
    ]
    assert shown(datetime(2031, 5, 4, 7, 30, 5, tzinfo=UTC)) == "07:30:05"
    assert (mmss("125"), mmss("-"), mmss("\u00b2"), mmss("9" * 5000)[:3]) == ("2:05", "-", "\u00b2", "999")
    assert plain("a\nb") == "a\\nb"


def test_columns_are_read_downwards_and_cut_nothing() -> None:
    assert list(columns(["a", "b", "c"], 2)) == ["a" + " " * 40 + "c", "b"]
    assert list(columns([], 2)) == []
    assert "".join(line.strip() for line in columns(["x" * 90, "b"], 2)).count("x") == 90
