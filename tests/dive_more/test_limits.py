"""Thresholds of the regulations, each at its edge."""

from datetime import date

import pytest

from station.dive.limits import (
    TEST_INTERVALS,
    air_allowed,
    chamber_needed,
    gauge_test_required,
    gauge_threshold_fsw,
    last_day_of_test,
    second_supply_needed,
    stay_near_chamber,
    timekeeper_test_required,
    umbilical_marks,
)


@pytest.mark.parametrize(
    ("depth", "outside", "source"),
    [
        (101, False, "29 CFR 1910.423(c)(1)(i)"),
        (60, True, "29 CFR 1910.423(c)(1)(iii)"),
        (100, False, None),
    ],
)
def test_29cfr_chamber(depth: float, outside: bool, source: str | None) -> None:  # noqa: FBT001
    found = chamber_needed(depth, outside_no_stop=outside)
    assert (found.source if found else None) == source


@pytest.mark.parametrize(
    ("depth", "outside", "needed"), [(131, False, True), (130, False, False), (60, True, True)]
)
def test_46cfr_second_supply(depth: float, outside: bool, needed: bool) -> None:  # noqa: FBT001
    """46 CFR 197.432(e): deeper than 130 fsw or outside the no-stop limits."""
    assert (second_supply_needed(depth, outside_no_stop=outside) is not None) is needed


@pytest.mark.parametrize(
    ("depth", "minutes", "allowed"),
    [
        (215, 30, True),
        (220, 30, True),
        (220.1, 30, False),
        (215, 31, False),
        (190, 500, True),
        (191, 31, False),
    ],
)
def test_air_depth_limit(depth: float, minutes: int, allowed: bool) -> None:  # noqa: FBT001
    """46 CFR 197.432(a): 190 fsw, to 220 fsw when the bottom time is 30 min or less."""
    assert air_allowed(depth, minutes) is allowed


@pytest.mark.parametrize(
    ("depth", "outside", "rules"),
    [
        (105, False, ["29 CFR"]),  # 29 CFR 1910.423(b)(2)
        (100, False, []),  # same
        (130, False, ["29 CFR", "46 CFR"]),  # 46 CFR 197.410(a)(7)-(8): from 130 fsw
        (40, True, ["29 CFR", "46 CFR"]),  # both: outside the no-stop limits
    ],
)
def test_an_hour_near_the_chamber(depth: float, outside: bool, rules: list[str]) -> None:  # noqa: FBT001
    found = stay_near_chamber(depth, outside_no_stop=outside)
    assert [one.rule for one in found] == rules
    assert all("at least 1 h" in one.words for one in found)


def test_depth_gauges_may_differ_by_2_per_cent_of_full_scale() -> None:
    """29 CFR 1910.430(g)(2), 46 CFR 197.458(b): 5.0 fsw of 250; exactly that still passes."""
    assert gauge_threshold_fsw(250) == 5.0
    assert gauge_test_required(250, 120, 126)
    assert not gauge_test_required(250, 120, 125)
    assert not gauge_test_required(350, 0.1, 7.1)


@pytest.mark.parametrize(
    ("hours", "seconds", "test"), [(4, 20, True), (4, 15, False), (4, -16, True), (2, 8, True)]
)
def test_a_timekeeper_may_be_off_15_s_in_4_h(hours: float, seconds: float, test: bool) -> None:  # noqa: FBT001
    """46 CFR 197.458(c)."""
    assert timekeeper_test_required(hours, seconds) is test


def test_months_between_tests() -> None:
    """29 CFR 1910.430(g)(2), 46 CFR 197.458(a): 6; from memory: 1910.430(c)(1)(iii): 12; 197.456: 24."""
    assert [one.months for one in TEST_INTERVALS["depth gauge"]] == [6]
    assert [one.months for one in TEST_INTERVALS["breathing hose"]] == [12, 24]
    # 46 CFR 197.458; from memory: 29 CFR 1910.430(b)
    assert [one.months for one in TEST_INTERVALS["timekeeper"]] == [6]
    assert [one.months for one in TEST_INTERVALS["compressor air"]] == [6]


@pytest.mark.parametrize(
    ("device", "tested", "until"),
    [
        ("depth gauge", date(2026, 1, 15), date(2026, 7, 15)),
        ("depth gauge", date(2025, 8, 31), date(2026, 2, 28)),
        ("depth gauge", date(2026, 6, 30), date(2026, 12, 30)),
        ("breathing hose", date(2024, 2, 29), date(2025, 2, 28)),
    ],
)
def test_last_day_of_a_test(device: str, tested: date, until: date) -> None:
    assert last_day_of_test(device, tested) == until


@pytest.mark.parametrize(("length", "marks"), [(300, (10, 4)), (100, (10, 0)), (95, (9, 0)), (349, (10, 4))])
def test_marks_on_an_umbilical(length: float, marks: tuple[int, int]) -> None:
    """46 CFR 197.312(b)(2)."""
    assert umbilical_marks(length) == marks
