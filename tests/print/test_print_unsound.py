"""A record that is not sound never prints silently; letters of any script; no bad file breaks its print."""

import io
import tomllib
from typing import TYPE_CHECKING

import pytest
import tomli_w
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from station.record.pdf.document import record_pdf
from station.record.pdf.font import Letters
from station.record.verify import verify_bytes

if TYPE_CHECKING:
    from tests.print.conftest import Bodies, Body, Printable, Show, Write

SURVEY = "ossary-dam/gate-survey-1"


@pytest.fixture
def body(bodies: "Bodies") -> "Body":
    return tomllib.loads(bodies[SURVEY].decode())


@pytest.mark.parametrize(
    ("change", "verdict", "problem"),
    [
        ((b"Jona Strand", b"Jona Strang"), "ALTERED OR DAMAGED", "Signature 1 does not match"),
        ((b"format = 1", b"format = 9"), "MADE BY A NEWER VERSION", "It is in format 9"),
        ((b"[record]", b"[recard]"), "NOT A RECORD", "It does not begin with"),
        ((b"\n", b"\r\n"), "ALTERED OR DAMAGED", "holds a carriage return"),
        ((b"[people]\n", b"[people\n"), "ALTERED OR DAMAGED", "Signature 1 does not match"),
    ],
)
def test_what_is_not_sound_says_so_in_a_box_at_the_top(
    change: tuple[bytes, bytes], verdict: str, problem: str, signed: "Printable", show: "Show"
) -> None:
    data = signed(SURVEY).replace(*change, 1)
    if verdict == "NOT A RECORD":
        data = data.replace(b"[[signature]]", b"[[signatare]]")
    printed = show(data)
    top = [word.text for word in printed.pages[0] if word.y > printed.size[1] - 60]
    assert f"NOT SOUND: {verdict}" in top
    assert any(problem in text for text in top)
    for page in printed.pages[1:]:
        assert any(word.text.startswith(f"NOT SOUND: {verdict} - ") for word in page)
    assert not printed.says("Verdict: sound")
    assert printed.says(printed.verdict.sha256)


def test_an_unsigned_record_names_who_has_yet_to_sign(bodies: "Bodies", show: "Show") -> None:
    printed = show(bodies[SURVEY])
    assert printed.says("NOT SOUND: NOT YET SIGNED")
    assert printed.says("NOT YET SIGNED BY timekeeper, supervisor")


def test_a_record_held_against_no_list_says_what_that_means(signed: "Printable") -> None:
    data = signed(SURVEY)
    first = PdfReader(io.BytesIO(record_pdf(data, verify_bytes(data)))).pages[0].extract_text()
    assert "Held against no list of signers: which keys signed, not whose they are." in first


def test_every_shorter_beginning_of_a_record_prints_as_not_sound(signed: "Printable", show: "Show") -> None:
    data = signed(SURVEY)
    for cut in (0, 1, 200, len(data) // 2, len(data) - 1):
        assert any(row.startswith("NOT SOUND") for row in show(data[:cut]).rows)


NAMES = ("Łucja Żółć", "Ελευθερία Ώρα", "Юрий Ёлкин", "Ngọc Ánh Đặng", "İpek Çağlar", "Søren Ångström")


@pytest.mark.parametrize("name", NAMES)
def test_latin_greek_and_cyrillic_names_print_as_they_are(
    name: str, body: "Body", write: "Write", show: "Show"
) -> None:
    body["people"]["team"][0]["name"] = name
    printed = show(write(body))
    assert printed.says(name)
    assert not printed.says("stands by its Unicode number")


def test_other_letters_stand_by_their_number_and_the_print_says_so(
    body: "Body", write: "Write", show: "Show"
) -> None:
    body["people"]["team"][0]["name"] = "日本 שלום"
    printed = show(write(body))
    assert printed.says("[U+65E5][U+672C]")
    assert "[U+05E9][U+05DC][U+05D5][U+05DD]" in printed.joined
    assert printed.says("A letter that this print cannot show stands by its Unicode number")


def test_a_letter_in_two_parts_prints_as_one_and_what_is_hidden_is_shown() -> None:
    letters = Letters()
    assert letters.shown("A\u030angstro\u0308m") == "Ångström"
    assert letters.shown("a\u202eb\x07") == "a\\u202eb\\x07"
    assert not letters.missed


VALUES = st.one_of(
    st.booleans(),
    st.integers(-(10**20), 10**20),
    st.floats(),
    st.text(st.characters(exclude_categories=["Cs"]), max_size=30),
    st.datetimes(),
    st.datetimes(timezones=st.timezones()),
    st.dates(),
    st.sampled_from([[], [{}], {"at": 1}, [["x"]], {}]),
)
PLACES = st.tuples(st.integers(0, 200), st.integers(0, 20), st.integers(0, 30), VALUES)


@settings(
    derandomize=True,
    max_examples=10,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(st.lists(PLACES, min_size=5, max_size=25))
def test_no_value_in_a_body_keeps_it_from_being_printed(
    bodies: "Bodies", signed: "Printable", changes: list[tuple[int, int, int, object]]
) -> None:
    """Whatever stands in place of a field, of a whole list or of a whole table."""
    document = tomllib.loads(bodies[SURVEY].decode())
    for table, key, row, value in changes:
        put(document, table, key, row, value)
    verdict = verify_bytes(signed(SURVEY).replace(b"Jona", b"Jone", 1))
    assert record_pdf(tomli_w.dumps(document).encode(), verdict).startswith(b"%PDF-")


def put(document: "Body", table: int, key: int, row: int, value: object) -> None:
    """Put a value in the place of a table, of one of its keys, or of a key of one of its rows."""
    name = list(document)[table % len(document)]
    found = document[name]
    if not isinstance(found, dict) or not found or key == 0:
        document[name] = value
        return
    inner = list(found)[key % len(found)]
    rows = found[inner]
    if not isinstance(rows, list) or not rows or not isinstance(rows[0], dict) or not rows[0] or row == 0:
        found[inner] = value
        return
    one = rows[row % len(rows)]
    if isinstance(one, dict) and one:
        one[list(one)[row % len(one)]] = value
