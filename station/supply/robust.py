"""A straight line through readings taken by eye, that one misread figure cannot bend.

The slope is the median of the slopes between all pairs (Theil, 1950; Sen, 1968), its range from Sen's
confidence limits on those slopes and never narrower than the gauge can be read. Times are in minutes; amounts
in whatever the caller has.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from math import sqrt
from statistics import median

LEAST_READINGS = 3
"""Fewer cannot outvote a misread one."""

SIGMAS = 1.96
"""Sen's limits are taken at 95 %."""

CHANCE = 1.5
"""Least half-width of the slope's range: three times its standard error by least squares over even times,
with half of what can be read as the standard error of a reading. Station choice."""

MAD_TO_SIGMA = 1.4826
"""The median absolute deviation of a normal spread, to its standard deviation."""

Point = tuple[float, float]


@dataclass(frozen=True)
class Line:
    """A fall with time: `level` at `at_min`, `fall` a minute, positive as the amount goes down.

    The true fall is taken to lie from `slowest` to `fastest`, the level within `spread`.
    """

    at_min: float
    level: float
    fall: float
    slowest: float
    fastest: float
    spread: float

    def level_at(self, minute: float) -> float:
        """Return where the line stands at a minute."""
        return self.level - self.fall * (minute - self.at_min)


def fit(points: Sequence[Point], read_to: float) -> Line | None:
    """Return the line through points, times rising; None for fewer than three, or all at one moment.

    `read_to` is how near an amount can be read. The level is taken at the last point.
    """
    if len(points) < LEAST_READINGS or points[-1][0] <= points[0][0]:
        return None
    falls = sorted(
        (early[1] - late[1]) / (late[0] - early[0])
        for early, late in combinations(points, 2)
        if late[0] > early[0]
    )
    fall, last = median(falls), points[-1][0]
    rest = [amount + fall * (minute - last) for minute, amount in points]
    level = median(rest)
    spread = max(read_to, MAD_TO_SIGMA * median(abs(one - level) for one in rest))
    slowest, fastest = _limits(falls, len(points))
    # Readings that happen to fall in line say no more of the slope than the gauge can show over the span.
    count = len(points)
    least = CHANCE * spread * sqrt(12 * (count - 1) / (count * (count + 1))) / (last - points[0][0])
    return Line(last, level, fall, min(slowest, fall - least), max(fastest, fall + least), spread)


def _limits(falls: Sequence[float], readings: int) -> tuple[float, float]:
    """Return Sen's limits: as many slopes off each end as chance would reorder."""
    width = SIGMAS * sqrt(readings * (readings - 1) * (2 * readings + 5) / 18)
    off = max(0, int((len(falls) - width) / 2) - 1)
    return falls[off], falls[-1 - off]
