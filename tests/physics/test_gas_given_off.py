"""Whether groups wane at the surface, and count on the next dive, as the gas behind them would.

USN Rev 7, Table 9-8 upper and lower part, Table 2A-2, against loads found in the no-stop times alone.
"""

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np
import pytest
from scipy.optimize import curve_fit
from scipy.stats import linregress

from station.tables.model import Tables

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from tests.physics.conftest import NoStopLoad

HALF_TIME = 120.0
INERT = 0.79


@pytest.fixture(scope="module")
def tops(
    no_stop_loads: "Callable[[float], list[NoStopLoad]]",
    tops_of: "Callable[[list[NoStopLoad]], dict[str, float]]",
) -> dict[str, float]:
    """The load in fsw at which each group ends."""
    return tops_of(no_stop_loads(HALF_TIME))


def minutes_down(loads: "NDArray[np.float64]", half_time: float, crossover: float) -> "NDArray[np.float64]":
    """Return how long a load takes from one level to a lower one, row by row.

    Below `crossover` the rate is that of the half-time, k x load; above it stays what it is there. Uptake by
    the exponential and elimination by a line, then the exponential: Thalmann 1985, from memory.
    """
    k = np.log(2) / half_time
    high, low = loads
    line = (np.maximum(high, crossover) - np.maximum(low, crossover)) / (k * crossover)
    tail = np.log(np.minimum(high, crossover) / np.minimum(low, crossover)) / k
    total: NDArray[np.float64] = line + tail
    return total


def test_groups_are_even_steps_of_load(tables: Tables, tops: dict[str, float]) -> None:
    """The ends of the sixteen groups lie on a line: no further from it than 0.02 fsw."""
    places = np.arange(len(tables.file.groups))
    found = np.array([tops[group] for group in tables.file.groups])
    line = linregress(places, found)
    off = np.abs(line.intercept + line.slope * places - found).max()
    print(f"a group is {line.slope:.3f} fsw of load; {off:.3f} fsw off the line at most")
    assert off < 0.02


def test_groups_wane_with_one_half_time(tables: Tables, tops: dict[str, float]) -> None:
    """All printed intervals, fitted by two figures: the half-time comes out as the one of the uptake, to 3 %.

    The last minute of an interval is when the load has come down to the end of the next lighter group; after
    the last one of A it would be one more step below. Within 2 min, of up to 950.
    """
    table = tables.file.surface_interval
    assert table is not None
    groups = tables.file.groups
    step = (tops["Z"] - tops["A"]) / (len(groups) - 1)
    ends = [tops["A"] - step, *(tops[group] for group in groups)]
    loads = np.array(
        [[ends[groups.index(row.group) + 1], ends[groups.index(row.after)]] for row in table.rows]
    ).T
    printed = np.array([float(row.at_most) for row in table.rows])
    (half_time, crossover), _ = curve_fit(minutes_down, loads, printed, p0=(60.0, 10.0))
    off = np.abs(minutes_down(loads, half_time, crossover) - printed).max()
    print(f"{len(printed)} intervals: half-time {half_time:.1f} min, even rate above {crossover:.2f} fsw;")
    print(f"{off:.1f} min off at most")
    assert len(printed) == 136
    assert half_time == pytest.approx(HALF_TIME, rel=0.03)
    assert off < 2


def test_residual_times_are_the_uptake_again(tables: Tables, tops: dict[str, float]) -> None:
    """A residual nitrogen time is the time at that depth, without a descent, that ends the group.

    Printed minutes go up: the group's end lies between the loads at the minute before and at the minute
    printed, or no more than 0.06 fsw, a twentieth of a group, outside.
    """
    rows = [
        (row.depth, group, minutes)
        for table in tables.file.residual
        for row in table.rows
        for group, minutes in row.times.items()
        if isinstance(minutes, int)
    ]
    over, under = [], []
    for depth, group, minutes in rows:
        before, at = (INERT * depth * (1 - np.exp2(-time / HALF_TIME)) for time in (minutes - 1, minutes))
        over.append((before - tops[group], depth, group))
        under.append((tops[group] - at, depth, group))
    print(f"{len(rows)} residual times: {max(over)[0]:.3f} fsw over, {max(under)[0]:.3f} fsw under at most")
    assert len(rows) == 694
    assert max(over)[0] < 0.06, max(over)
    assert max(under)[0] < 0.06, max(under)
