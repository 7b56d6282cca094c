"""What is asked of a dive: each condition at its edge and together, observation, keeping of records."""

from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from station.law.after import kept_until, observation, observed_now
from station.law.asked import asked_fields, duties, gaps
from station.law.conditions import CASUALTY, MIXED, NO_STOP, SICKNESS, Circumstances, applies
from station.law.keys import RECORD_KEYS, heading
from tests.law.conftest import shipped_file

if TYPE_CHECKING:
    from station.law.model import Authority

SHALLOW = Circumstances(depth_fsw=60)
UP = datetime(2031, 5, 4, 8, 34, 20, tzinfo=UTC)

CONDITIONS: list[tuple[str, Circumstances, bool]] = [
    ("always", SHALLOW, True),
    (NO_STOP, SHALLOW, False),
    (NO_STOP, Circumstances(60, outside_no_stop=True), True),
    (MIXED, SHALLOW, False),
    (MIXED, Circumstances(60, mixed_gas=True), True),
    (SICKNESS, SHALLOW, False),
    (SICKNESS, Circumstances(60, sickness=True), True),
    (CASUALTY, SHALLOW, False),
    (CASUALTY, Circumstances(60, casualty=True), True),
    ("deeper than 100 fsw", Circumstances(100), False),
    ("deeper than 100 fsw", Circumstances(100.001), True),
    ("130 fsw or deeper", Circumstances(129.999), False),
    ("130 fsw or deeper", Circumstances(130), True),
    ("30 msw or deeper", Circumstances(97.5), False),
    ("30 msw or deeper", Circumstances(98.5), True),
]


@pytest.mark.parametrize(("condition", "dive", "holds"), CONDITIONS)
def test_each_condition_at_its_edge(condition: str, dive: Circumstances, holds: object) -> None:
    assert applies([condition], dive) is holds


def paragraphs(one: "Authority", dive: Circumstances) -> list[str]:
    return [asked.paragraph.removeprefix(f"{one.cite} ") for asked in asked_fields([one], dive)]


def test_a_shallow_no_stop_dive_is_asked_for_the_first_list_alone(labour: "Authority") -> None:
    """29 CFR 1910.423(d)(1), from memory."""
    assert all("(d)(1)" in one for one in paragraphs(labour, SHALLOW))
    assert len(paragraphs(labour, SHALLOW)) == 6


@pytest.mark.parametrize(
    "dive",
    [
        Circumstances(60, outside_no_stop=True),
        Circumstances(101),
        Circumstances(60, mixed_gas=True),
    ],
    ids=["outside no-stop", "deeper than 100 fsw", "mixed gas"],
)
def test_a_bigger_dive_is_asked_for_the_second_list_too(labour: "Authority", dive: Circumstances) -> None:
    """29 CFR 1910.423(d)(2), from memory; the observation by 1910.423(b)(2), read."""
    assert sum("(d)(2)" in one for one in paragraphs(labour, dive)) == 3
    found = observation([labour], dive)
    assert found is not None
    assert (found.minutes, found.paragraph, found.basis) == (60, "29 CFR 1910.423(b)(2)", "read")
    assert "observed" in [one.id for one in duties([labour], "told", dive)]


def test_nobody_is_observed_after_a_small_dive(labour: "Authority") -> None:
    assert observation([labour], SHALLOW) is None
    assert [one.id for one in duties([labour], "told", SHALLOW)] == ["checked", "report", "chamber", "flying"]


def test_two_authorities_ask_together_and_one_duty_is_ticked_once(
    labour: "Authority", coast_guard: "Authority"
) -> None:
    both = [labour, coast_guard]
    asked = asked_fields(both, SHALLOW)
    assert {one.paragraph.split(" ")[0] for one in asked} == {"29", "46"}
    flying = next(one for one in duties(both, "told", SHALLOW) if one.id == "flying")
    assert flying.paragraphs == ("29 CFR 1910.423(b)(1)(iv)", "46 CFR 197.410(a)(7)")
    (gap,) = gaps(asked, {"station.place"})
    assert gap.paragraphs == "29 CFR 1910.423(d)(1)(ii); 46 CFR 197.482(b)"


def test_another_country_s_list_needs_no_code(made_up: "Authority", labour: "Authority") -> None:
    deep = Circumstances(110)
    assert [one.what for one in asked_fields([made_up], SHALLOW)] == ["who dived"]
    assert [one.key for one in gaps(asked_fields([made_up], deep), RECORD_KEYS)] == [
        "dive.diver_name",
        "voice.checks",
        "told.items",
    ]
    found = observation([labour, made_up], deep)
    assert found is not None
    assert (found.minutes, found.paragraph) == (90, "Lacustria WWA 14(2)")


@pytest.mark.parametrize(
    ("seconds", "left"), [(0, 3600), (0.001, 3600), (1, 3599), (3599.5, 1), (3600, 0), (90000, 0)]
)
def test_the_observation_runs_down_rounded_up(labour: "Authority", seconds: float, left: int) -> None:
    rule = observation([labour], Circumstances(110))
    assert rule is not None
    now = observed_now(rule, UP, UP + timedelta(seconds=seconds))
    assert (now.left_s, now.until) == (left, UP + timedelta(hours=1))


def test_the_observation_waits_for_a_diver_under_pressure(labour: "Authority") -> None:
    rule = observation([labour], Circumstances(110))
    assert rule is not None
    assert observed_now(rule, None, UP).left_s is None


@pytest.mark.parametrize(
    ("day", "dive", "until"),
    [
        (date(2031, 5, 4), SHALLOW, date(2032, 5, 4)),
        (date(2031, 5, 4), Circumstances(60, sickness=True), date(2036, 5, 4)),
        (date(2028, 2, 29), SHALLOW, date(2029, 3, 1)),
    ],
)
def test_a_record_is_kept_by_the_calendar(
    labour: "Authority", day: date, dive: Circumstances, until: date
) -> None:
    """29 CFR 1910.440(b)(3), read: 1 year, 5 after sickness; a day that is not there: the day after."""
    kept = kept_until([labour], day, dive)
    assert kept is not None
    assert (kept.until, kept.paragraph) == (until, "29 CFR 1910.440(b)(3)")


def test_months_count_across_the_year_and_the_longest_holds(
    made_up: "Authority", labour: "Authority", coast_guard: "Authority"
) -> None:
    kept = kept_until([labour, made_up], date(2031, 8, 31), SHALLOW)
    assert kept is not None
    assert (kept.until, kept.paragraph) == (date(2042, 3, 1), "Lacustria WWA 20")
    assert kept_until([coast_guard], date(2031, 8, 31), SHALLOW) is None
    after = kept_until([coast_guard], date(2031, 8, 31), Circumstances(60, casualty=True))
    assert after is not None
    assert after.until == date(2032, 3, 1)


DIVES = st.builds(
    Circumstances,
    depth_fsw=st.floats(0, 400),
    outside_no_stop=st.booleans(),
    mixed_gas=st.booleans(),
    sickness=st.booleans(),
    casualty=st.booleans(),
)
FILES = [shipped_file("us-29-cfr-1910.toml"), shipped_file("us-46-cfr-197.toml")]


@given(DIVES, DIVES)
@settings(derandomize=True, deadline=None, max_examples=200)
def test_a_further_circumstance_never_takes_a_field_away(one: Circumstances, other: Circumstances) -> None:
    more = Circumstances(
        depth_fsw=max(one.depth_fsw, other.depth_fsw),
        outside_no_stop=one.outside_no_stop or other.outside_no_stop,
        mixed_gas=one.mixed_gas or other.mixed_gas,
        sickness=one.sickness or other.sickness,
        casualty=one.casualty or other.casualty,
    )
    assert set(asked_fields(FILES, one)) <= set(asked_fields(FILES, more))
    for part in ("planning", "briefing", "told"):
        fewer = {duty.id for duty in duties(FILES, part, one)}
        assert fewer <= {duty.id for duty in duties(FILES, part, more)}
    day = date(2031, 5, 4)
    first, last = kept_until(FILES, day, one), kept_until(FILES, day, more)
    assert first is not None
    assert last is not None
    assert first.until <= last.until
    seen, longer = observation(FILES, one), observation(FILES, more)
    assert seen is None or (longer is not None and longer.minutes >= seen.minutes)


@given(
    DIVES,
    st.lists(
        st.sampled_from([NO_STOP, MIXED, SICKNESS, CASUALTY, "deeper than 60 fsw", "always"]), min_size=1
    ),
    st.sampled_from([NO_STOP, MIXED, SICKNESS, CASUALTY, "20 msw or deeper"]),
)
@settings(derandomize=True, deadline=None, max_examples=200)
def test_a_further_condition_in_a_file_never_takes_a_field_away(
    dive: Circumstances, when: list[str], added: str
) -> None:
    assert applies(when, dive) <= applies([*when, added], dive)


@given(DIVES, st.sets(st.sampled_from(sorted(RECORD_KEYS))), st.sets(st.sampled_from(sorted(RECORD_KEYS))))
@settings(derandomize=True, deadline=None, max_examples=100)
def test_every_gap_is_asked_for_and_lacking_and_stands_once(
    dive: Circumstances, lacking: set[str], more: set[str]
) -> None:
    asked = asked_fields(FILES, dive)
    found = [one.key for one in gaps(asked, lacking)]
    assert set(found) == lacking & {key for one in asked for key in one.keys}
    assert len(found) == len(set(found))
    assert set(found) <= {one.key for one in gaps(asked, lacking | more)}


def test_every_key_has_a_heading() -> None:
    assert all(heading(key) for key in RECORD_KEYS)
