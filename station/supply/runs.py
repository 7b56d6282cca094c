"""Readings of one bank cut into runs of steady draw: a refill or a change of draw begins a new one.

One reading that contradicts the run is set aside and questioned; a second that bears it out shows that the
bank itself has changed, and the run begins anew with those two. Nothing is averaged across.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from station.supply.robust import LEAST_READINGS, Line, Point, fit

LONGEST_RUN = 12
"""Readings of a run that count: older ones would hold the line to a draw that has crept away from it."""

GATE_SPREADS = 2
"""A reading further from the line than so many spreads contradicts it; station choice."""

TURNED = 3
"""So many readings in a row on one side of the line through those before them may show a change of draw."""

TURNED_SPREADS = (0.5, 1.5)
"""All of them by more than the first of these, the last by more than the second; station choice."""

MOST_SPREADS = 3
"""The gate opens to so many where the line runs far beyond its points."""

BORNE_OUT = 0.5
"""A second reading bears out one in question from half way to the gate on, on the same side."""

Began = Literal["first reading", "refill", "change of draw"]


@dataclass(frozen=True)
class Run:
    """The latest run: its points that count, those set aside within it, and one still in question."""

    points: tuple[Point, ...]
    aside: tuple[Point, ...]
    questioned: Point | None
    began: Began

    def line(self, read_to: float) -> Line | None:
        """Return the line through the points that count."""
        return fit(self.points, read_to)


def latest_run(points: Sequence[Point], read_to: float) -> Run:
    """Return the latest run of points, times rising; amounts can be read as near as `read_to`."""
    run = Run((), (), None, "first reading")
    for point in points:
        run = _taken(run, point, read_to)
    return run


def gate(run: Run, minute: float, read_to: float) -> tuple[float, float] | None:
    """Return between which amounts a reading at a minute would not contradict the run; None before any.

    Two points give a slope that each may be off by what can be read; a single one only says that the amount
    must not rise.
    """
    if not run.points:
        return None
    if len(run.points) == 1:
        return float("-inf"), run.points[0][1] + GATE_SPREADS * read_to
    line = run.line(read_to) or _by_two(run.points, read_to)
    span = line.at_min - run.points[0][0]
    ahead = max(0.0, minute - line.at_min)
    reach = (
        min(MOST_SPREADS, GATE_SPREADS * (1 + ahead / span)) * line.spread if span else MOST_SPREADS * read_to
    )
    expected = line.level_at(minute)
    # However little is known of the slope: drawn air never rises.
    return expected - reach, min(expected + reach, line.level + GATE_SPREADS * line.spread)


def _by_two(points: Sequence[Point], read_to: float) -> Line:
    (first, amount), (last, level) = points[0], points[-1]
    fall = (amount - level) / (last - first) if last > first else 0.0
    return Line(last, level, fall, fall, fall, read_to)


def _taken(run: Run, point: Point, read_to: float) -> Run:
    within = gate(run, point[0], read_to)
    if run.questioned is not None and within is not None and _borne_out(run, point, read_to):
        began: Began = "refill" if _side(within, point) > 0 else "change of draw"
        return Run((run.questioned, point), (), None, began)
    aside = run.aside if run.questioned is None else (*run.aside, run.questioned)
    if within is not None and not within[0] <= point[1] <= within[1]:
        return Run(run.points, aside, point, run.began)
    longer = Run((*run.points, point)[-LONGEST_RUN:], aside, None, run.began)
    return _turned(_cleaned(longer, read_to), read_to)


def _borne_out(run: Run, point: Point, read_to: float) -> bool:
    """Return whether a reading tells the same tale as the one in question: as far out, not risen since."""
    before = run.questioned
    if before is None or point[1] > before[1] + GATE_SPREADS * read_to:
        return False
    sides = [_side(within, one) for one in (before, point) if (within := gate(run, one[0], read_to))]
    return min(sides) > BORNE_OUT or max(sides) < -BORNE_OUT


def _side(within: tuple[float, float], point: Point) -> float:
    """Return where a point stands between the limits of the gate: -1 and 1 are the limits themselves."""
    low, high = within
    if low == float("-inf"):
        return 2.0 if point[1] > high else 0.0
    return (2 * point[1] - low - high) / (high - low)


def _cleaned(run: Run, read_to: float) -> Run:
    """Return the run without the one point that its line, now that there is one, shows to be misread.

    Never the last ones: those the gate has let in, and if they leave the line the draw has changed.
    """
    line = run.line(read_to)
    if line is None or len(run.points) == LEAST_READINGS:
        return run
    off = [(abs(one[1] - line.level_at(one[0])), one) for one in run.points[:-2]]
    most, worst = max(off)
    if most <= GATE_SPREADS * line.spread:
        return run
    kept = tuple(one for one in run.points if one != worst)
    return Run(kept, (*run.aside, worst), run.questioned, run.began)


def _turned(run: Run, read_to: float) -> Run:
    """Return a run of the last readings alone where they have left the line through those before.

    A change of draw too small to contradict any one reading would bend the line for as long as it counts.
    """
    earlier, late = run.points[:-TURNED], run.points[-TURNED:]
    line = fit(earlier, read_to)
    if line is None:
        return run
    off = [(amount - line.level_at(minute)) / line.spread for minute, amount in late]
    all_least, last_least = TURNED_SPREADS
    for side in (1, -1):
        if all(side * one > all_least for one in off) and side * off[-1] > last_least:
            return Run(late, (), None, "change of draw")
    return run
