"""Events: kept as one line of text each, read back as they were, refused when they are none."""

import json
import types
import typing
from datetime import UTC, date, datetime
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError
from pydantic_core import PydanticUndefined

from station.events import (
    CrewJoined,
    Entry,
    EntryAmended,
    Event,
    FileUse,
    MarkTaken,
    NoteMade,
    StepDone,
    from_text,
    stamp,
    to_text,
)
from station.moments import from_ms

NOON = datetime(2031, 5, 4, 12, 0, tzinfo=UTC)
KINDS: list[type[Entry]] = list(typing.get_args(typing.get_args(Event)[0]))

SLUGS = st.from_regex(r"[a-z0-9][a-z0-9-]{0,39}", fullmatch=True)
NAMES = st.text(
    st.characters(codec="utf-8").filter(lambda one: one == " " or one.isprintable()), min_size=1, max_size=40
).filter(lambda one: one == one.strip())
SHAS = st.from_regex(r"[0-9a-f]{64}", fullmatch=True)
MOMENTS = st.integers(0, 4_102_444_800_000).map(from_ms)
JSON = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**53), 2**53)
    | st.floats(allow_nan=False, allow_infinity=False)
    | NAMES,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(NAMES, inner, max_size=3),
    max_leaves=5,
)
FILES = st.builds(
    FileUse,
    role=st.sampled_from(["station", "outfit", "tables", "supply", "cards", "scenario"]),
    name=NAMES,
    sha256=SHAS,
)

VALUES: dict[str, st.SearchStrategy[Any]] = {
    "by": SLUGS,
    "at": MOMENTS,
    "entered": MOMENTS,
    "lane": st.integers(1, 999),
    "addenda": st.integers(1, 9),
    "files": st.lists(FILES, max_size=2).map(tuple),
    "by_s": st.floats(-1e6, 1e6),
    "counter_ns": st.integers(0, 2**62),
    "changes": st.dictionaries(NAMES, JSON, max_size=3),
    "tenders": st.lists(SLUGS, max_size=3).map(tuple),
    "depth_fsw": st.floats(1, 400),
    "reading_fsw": st.floats(0, 400),
    "pressure_psig": st.floats(0, 6000),
    "water_temperature_c": st.floats(-5, 50),
    "time_min": st.integers(1, 1440),
    "stud": st.integers(1, 99),
    "tested": st.dates(date(1900, 1, 1), date(2100, 1, 1)),
    "sha256": SHAS,
    "surfaced": MOMENTS,
    "arrived": MOMENTS,
    "group": st.none() | st.sampled_from("AMZ"),
    "bottom_min": st.integers(1, 1440),
    "added_min": st.integers(0, 1440),
    "record_sha256": st.none() | SHAS,
    "from_ft": st.floats(-1500, 30000),
    "items": st.lists(SLUGS, min_size=1, max_size=3).map(tuple),
    "people": st.lists(SLUGS, min_size=1, max_size=3).map(tuple),
    "onset": MOMENTS,
    "onset_fsw": st.floats(0, 400),
    "key": st.sampled_from(["dive.mode", "depth.maximum_fsw"]),
    "on": st.dates(date(1900, 1, 1), date(2100, 1, 1)),
    "oxygen_percent": st.floats(0, 100),
    "co2_ppm": st.floats(0, 1e6),
    "co_ppm": st.floats(0, 1e6),
    "oil_mg_m3": st.floats(0, 1000),
    "lanes": st.lists(st.integers(1, 999), min_size=2, max_size=9).map(tuple),
}
"""Values by the name of a field, where its type alone does not tell them."""

SLUG_FIELDS = {"person", "diver", "piece", "item", "step", "checked_by", "hold", "source", "card", "test"}


def values(name: str, annotation: Any) -> st.SearchStrategy[Any]:
    """Return a strategy for a field; literals and booleans by their type, the rest by its name."""
    if typing.get_origin(annotation) in (typing.Union, types.UnionType):
        return st.none() | values(
            name, next(one for one in typing.get_args(annotation) if one is not type(None))
        )
    if name == "depth_fsw" and int in (annotation, *typing.get_args(annotation)):
        return st.integers(1, 200)
    if typing.get_origin(annotation) is typing.Literal:
        return st.sampled_from(typing.get_args(annotation))
    if typing.get_origin(annotation) is tuple and name not in VALUES:
        return st.lists(values(name, typing.get_args(annotation)[0]), max_size=3).map(tuple)
    if annotation is bool:
        return st.booleans()
    return SLUGS if name in SLUG_FIELDS else VALUES.get(name, NAMES)


def events(kind: type[Entry]) -> st.SearchStrategy[Entry]:
    fields = {
        name: values(name, field.annotation)
        for name, field in kind.model_fields.items()
        if name not in {"kind", "version", "id"}
    }
    return st.builds(kind, **fields)


def note(text: str = "line fouled") -> NoteMade:
    return NoteMade(text=text, **stamp(NOON, "mira-holt", "supervisor"))


def test_every_kind_is_known_by_its_own_name() -> None:
    names = [kind.model_fields["kind"].default for kind in KINDS]
    assert len(set(names)) == len(names) > 20
    assert PydanticUndefined not in names


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
@given(st.data())
@settings(derandomize=True, deadline=None, max_examples=15)
def test_an_event_reads_back_as_it_was(kind: type[Entry], data: st.DataObject) -> None:
    event = data.draw(events(kind))
    text = to_text(event)  # type: ignore[arg-type]  # every kind is an Event
    back = from_text(text)
    assert type(back) is kind
    assert back == event
    assert to_text(back) == text
    assert "\n" not in text


def test_the_text_of_an_event_is_as_published_to_its_readers() -> None:
    """Journals and records hold this text for decades: its form is not to change by accident."""
    event = MarkTaken(
        id="0123456789abcdef0123456789abcdef",
        mark="reached_stop",
        depth_fsw=20,
        lane=1,
        **stamp(NOON, "mira-holt", "timekeeper"),
    )
    assert to_text(event) == (
        '{"version":1,"id":"0123456789abcdef0123456789abcdef","at":"2031-05-04T12:00:00.000Z",'
        '"entered":"2031-05-04T12:00:00.000Z","by":"mira-holt","seat":"timekeeper","lane":1,'
        '"kind":"mark.taken","mark":"reached_stop","depth_fsw":20.0}'
    )


def test_a_field_left_empty_is_left_out_but_an_emptied_one_is_kept() -> None:
    assert "lane" not in json.loads(to_text(note()))
    amended = EntryAmended(
        target="0" * 32, changes={"lane": None}, reason="no lane", **stamp(NOON, "mira-holt", "supervisor")
    )
    assert json.loads(to_text(amended))["changes"] == {"lane": None}
    assert from_text(to_text(amended)) == amended


def test_two_events_are_never_one() -> None:
    assert note().id != note().id


def test_an_event_cannot_be_changed() -> None:
    with pytest.raises(ValidationError, match="frozen"):
        note().text = "another"  # type: ignore[misc]  # what is refused


def test_entered_is_the_time_of_the_event_unless_told() -> None:
    later = from_ms(2_000_000_000_000)
    assert stamp(NOON, "mira-holt", "tender")["entered"] == NOON
    assert stamp(NOON, "mira-holt", "tender", later)["entered"] == later


def changed(**fields: object) -> str:
    document = json.loads(to_text(note()))
    document.update(fields)
    return json.dumps({key: value for key, value in document.items() if value != "dropped"})


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("", "json_invalid"),
        ("3", "_type"),
        (changed(kind="siren.sounded"), "union_tag_invalid"),
        (changed(kind="dropped"), "union_tag_not_found"),
        (changed(kind=3), "union_tag_invalid"),
        (changed(version=2), "literal_error"),
        (changed(loudness=3), "extra_forbidden"),
        (changed(text="dropped"), "missing"),
        (changed(text=" "), "string_too_short"),
        (changed(text="x" * 2001), "string_too_long"),
        (changed(text=3), "string_type"),
        (changed(by="Mira Holt"), "string_pattern_mismatch"),
        (changed(by="mira-holt\n"), "string_pattern_mismatch"),
        (changed(seat="bridge"), "literal_error"),
        (changed(id="0123"), "string_pattern_mismatch"),
        (changed(lane=0), "greater_than_equal"),
        (changed(lane=1000), "less_than_equal"),
        (changed(lane="1"), "int_type"),
        (changed(lane=1.5), "int_type"),
        (changed(lane=True), "int_type"),
        (changed(at="2031-05-04T12:00:00"), "value_error"),
        (changed(at="0001-01-01T00:00:00+01:00"), "value_error"),
        (changed(at="yesterday"), "datetime"),
        (changed(at=1_935_000_000), "datetime_type"),
    ],
)
def test_what_is_no_event_is_refused(text: str, problem: str) -> None:
    with pytest.raises(ValidationError) as caught:
        from_text(text)
    (error,) = caught.value.errors()
    assert problem in error["type"]


@pytest.mark.parametrize("depth", [-3.0, -0.001, 400.5, 99999.0, float("nan"), float("inf")])
def test_a_depth_no_diver_reaches_is_refused(depth: float) -> None:
    with pytest.raises(ValidationError, match="depth_fsw"):
        MarkTaken(mark="reached_stop", depth_fsw=depth, lane=1, **stamp(NOON, "mira-holt", "timekeeper"))


def test_a_step_may_name_who_looked() -> None:
    step = StepDone(step="belt", checked_by="jon-arn", lane=1, **stamp(NOON, "mira-holt", "tender"))
    assert from_text(to_text(step)) == step


@given(
    st.text(max_size=200)
    | st.binary(max_size=200).map(lambda data: data.decode("latin-1"))
    | JSON.map(json.dumps)
)
@settings(derandomize=True, deadline=None, max_examples=200)
def test_no_text_brings_anything_but_a_refusal(text: str) -> None:
    with pytest.raises(ValidationError):
        from_text(text)


@pytest.mark.parametrize(
    "text", ["bell\x07", "back\u200bspace", "turn\u202eround", "two\nlines", "lone\ud800"]
)
def test_a_name_holds_only_what_a_screen_can_show(text: str) -> None:
    """A control character in a name could garble a screen or a print."""
    with pytest.raises(ValidationError):
        CrewJoined(person="ada", name=text, roles=("tender",), **stamp(NOON, "ada", "console"))
