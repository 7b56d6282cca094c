"""The robust line against a reference library, and what one misread figure does to it: nothing."""

from statistics import median

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import theilslopes  # type: ignore[import-untyped, unused-ignore]

from station.supply.robust import fit

quick = settings(derandomize=True, deadline=None, max_examples=150)
readings = st.lists(st.floats(0, 5000), min_size=3, max_size=12)


@quick
@given(readings)
def test_the_slope_and_its_limits_are_those_of_the_reference_library(amounts: list[float]) -> None:
    """scipy.stats.theilslopes: Theil (1950), Sen (1968), limits at 95 %."""
    minutes = [5.0 * at for at in range(len(amounts))]
    line = fit(list(zip(minutes, amounts, strict=True)), 1e-9)
    reference = theilslopes(amounts, minutes, 0.95)
    assert line is not None
    assert line.fall == pytest.approx(-reference.slope, abs=1e-6)
    # Ours are never the narrower: floor and ceiling where the library rounds to the nearest.
    assert line.slowest <= -reference.high_slope + 1e-6
    assert line.fastest >= -reference.low_slope - 1e-6


def test_a_clean_fall_is_found_exactly() -> None:
    line = fit([(0, 1000), (5, 950), (10, 900), (15, 850)], 10)
    assert line is not None
    assert (line.fall, line.level, line.at_min, line.spread) == (10, 850, 15, 10)
    assert line.level_at(20) == 800
    assert line.slowest < 10 < line.fastest


@pytest.mark.parametrize("misread", range(7))
def test_one_misread_figure_does_not_bend_it(misread: int) -> None:
    points = [(5.0 * at, 1000 - 50.0 * at) for at in range(7)]
    points[misread] = (points[misread][0], points[misread][1] + 1000)
    line = fit(points, 10)
    assert line is not None
    assert line.fall == pytest.approx(10, abs=0.01)
    assert line.level == pytest.approx(700, abs=1)


def test_too_few_or_at_one_moment_give_none() -> None:
    assert fit([], 10) is None
    assert fit([(0, 1), (5, 2)], 10) is None
    assert fit([(3, 1), (3, 2), (3, 3)], 10) is None


@quick
@given(readings, st.floats(1, 100))
def test_the_range_holds_the_slope_and_the_level_is_the_middle(amounts: list[float], read_to: float) -> None:
    points = [(5.0 * at, amount) for at, amount in enumerate(amounts)]
    line = fit(points, read_to)
    assert line is not None
    assert line.slowest <= line.fall <= line.fastest
    assert line.spread >= read_to
    assert line.level == pytest.approx(
        median(a - line.fall * (points[-1][0] - t) for t, a in points), abs=1e-6
    )
