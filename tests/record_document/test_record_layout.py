"""How the body is laid out: whatever is put in comes out of a TOML reader the same."""

import tomllib
from datetime import UTC, date, datetime

from hypothesis import given, settings
from hypothesis import strategies as st

from station.record.document_layout import Said, Table, comment, table_text, value_text

KEYS = st.text("abcdefghij_", min_size=1, max_size=8)
SCALARS = (
    st.text(st.characters(exclude_categories=["Cs"]), max_size=40)
    | st.sampled_from(
        ['"""', "'''", "'\"'", '{"a":"b"}', "\\", "a\\b'c", "\n[[signature]]\n", "\x7f", "\u2028", " "]
    )
    | st.integers(-(2**63), 2**63 - 1)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.booleans()
    | st.dates()
)
ROWS = st.dictionaries(KEYS, SCALARS, min_size=1, max_size=4)


@settings(max_examples=150, derandomize=True, deadline=None)
@given(
    st.dictionaries(KEYS, SCALARS | st.lists(SCALARS, max_size=3) | st.lists(ROWS, max_size=3), max_size=5)
)
def test_what_goes_in_comes_out(fields: dict[str, object]) -> None:
    text = table_text(Table("t", "A table", fields, note="A note. " * 30, law="A law."))
    assert tomllib.loads(text) == {"t": fields}


@settings(max_examples=100, derandomize=True, deadline=None)
@given(ROWS)
def test_a_row_stands_on_one_line_and_opens_no_table(row: dict[str, object]) -> None:
    text = value_text(row)
    assert "\n" not in text
    assert text.startswith("{ ")


def test_rows_stand_one_on_a_line() -> None:
    rows = [{"a": 1}, {"a": 2, "b": None}]
    text = table_text(Table("t", "A table", {"rows": rows, "none": None, "no": []}))
    assert text.endswith("[t]\nrows = [\n    { a = 1 },\n    { a = 2 },\n]\nno = []\n")


def test_a_comment_stands_behind_a_value() -> None:
    assert table_text(Table("t", "A table", {"s": Said(174, "2:54")})).endswith("[t]\ns = 174  # 2:54\n")


def test_moments_are_written_in_utc_to_the_millisecond() -> None:
    moment = datetime(2031, 5, 4, 7, 30, tzinfo=UTC)
    assert value_text(moment) == "2031-05-04T07:30:00.000Z"
    assert value_text(date(2031, 5, 4)) == "2031-05-04"


def test_a_text_with_quotes_is_written_as_it_is_where_toml_allows() -> None:
    assert value_text('{"a":1}') == """'{"a":1}'"""
    assert value_text("""{"a":"it's"}""") == '''"{\\"a\\":\\"it's\\"}"'''
    assert value_text('"\u00a0"') == '"\\"\u00a0\\""'


def test_comments_fit_the_page() -> None:
    lines = comment("word " * 60)
    assert len(lines) == 4
    assert all(line.startswith("# ") and len(line) <= 100 for line in lines)
