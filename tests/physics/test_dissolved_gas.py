"""Whether the tables' letters and stops go with the gas that a dive leaves in a diver.

The tables say nothing of how they were reckoned; what is shown here is found in their figures. All figures
are those of the shipped file: USN Rev 7, Tables 9-7, 9-9 and 2A-1.
"""

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np
import pytest
from scipy.stats import kendalltau, somersd, spearmanr

from station.tables.model import ScheduleRow, Tables

if TYPE_CHECKING:
    from tests.physics.conftest import NoStopLoad, Tissue

HALF_TIMES = (5.0, 10.0, 20.0, 40.0, 80.0, 120.0, 160.0, 240.0)
"""In minutes: from the quickest compartments in common use to the slow ones (common practice, no source)."""

FITTING = 120.0
"""Half-time in minutes of the compartment behind the groups: found below, and from memory."""

AGREE_FSW = 1e-5
RHO_AT_LEAST = 0.9
"""Spearman's rho over all schedules. Ties keep it under 1: half of the rows share the letter Z."""

CONCORDANT = 0.999
"""Somers' D, which leaves pairs of one letter out: of any two rows, the higher letter has the larger load."""


def ranked(tables: Tables) -> list[ScheduleRow]:
    return [row for row in tables.file.schedules.rows if row.group is not None]


def places(tables: Tables, rows: list[ScheduleRow]) -> list[int]:
    return [tables.file.groups.index(row.group or "") for row in rows]


def loads(tissue: "Tissue", rows: list[ScheduleRow]) -> list[float]:
    return [float(tissue.by_formula(row.depth, row.time, row.air_stops)[0]) for row in rows]


def concordance(of_groups: list[int], of_loads: list[float]) -> float:
    return float(somersd(of_groups, of_loads).statistic)


def test_formula_and_integrator_agree_on_every_schedule(
    tables: Tables, tissue: Callable[..., "Tissue"]
) -> None:
    """All air schedules, eight compartments: within a hundred-thousandth of a foot."""
    some, rows = tissue(*HALF_TIMES), tables.file.schedules.rows
    apart = max(
        float(np.abs(some.by_formula(*dive) - some.by_integrator(*dive)).max())
        for dive in ((row.depth, row.time, row.air_stops) for row in rows)
    )
    print(f"{len(rows)} schedules: formula and integrator differ by {apart:.1e} fsw at most")
    assert len(rows) == 382
    assert apart < AGREE_FSW


def test_a_compartment_fills_by_half_in_a_half_time(tissue: Callable[..., "Tissue"]) -> None:
    """What a half-time means, at a depth so small that its descent and ascent take no time: half of 0.79."""
    found = tissue(20.0).by_formula(0.01, 20)
    assert float(found[0]) == pytest.approx(0.79 * 0.01 / 2, rel=1e-4)


def test_loads_at_surfacing_rank_as_the_groups_do(tables: Tables, tissue: Callable[..., "Tissue"]) -> None:
    """All schedules that print a group, after their own ascent with its stops."""
    rows = ranked(tables)
    groups, found = places(tables, rows), {}
    for half_time in HALF_TIMES:
        mine = loads(tissue(half_time), rows)
        rho, tau = float(spearmanr(groups, mine).statistic), float(kendalltau(groups, mine).statistic)
        found[half_time] = (rho, concordance(groups, mine))
        print(f"{half_time:5.0f} min  rho {rho:+.3f}  tau {tau:+.3f}  Somers' D {found[half_time][1]:+.4f}")
    assert len(rows) == 222
    assert found[FITTING][0] >= RHO_AT_LEAST
    assert found[FITTING][1] >= CONCORDANT
    assert max(d for half_time, (_, d) in found.items() if half_time <= 80) < CONCORDANT


def test_loads_at_surfacing_rank_as_the_groups_do_at_each_depth(
    tables: Tables, tissue: Callable[..., "Tissue"]
) -> None:
    one, compared = tissue(FITTING), 0
    for depth in tables.row_depths:
        rows = [row for row in ranked(tables) if row.depth == depth]
        groups, mine = places(tables, rows), loads(one, rows)
        if len(set(groups)) > 1:
            rho, d = float(spearmanr(groups, mine).statistic), concordance(groups, mine)
            print(f"{depth:3} fsw  {len(rows):2} rows  rho {rho:+.3f}  Somers' D {d:+.4f}")
            assert d >= CONCORDANT
            assert rho > 0.69  # 40 fsw: one row of O and nine of Z, which tie, leave no more than 0.696
            compared += 1
    assert compared == 23  # at 30 and 35 fsw every schedule ends in Z


def test_one_wrong_letter_is_noticed(tables: Tables, tissue: Callable[..., "Tissue"]) -> None:
    """The measure is sharp: any one schedule printed two letters higher would break the order."""
    rows = ranked(tables)
    groups, mine = places(tables, rows), loads(tissue(FITTING), rows)
    right = concordance(groups, mine)
    for at in (n for n, place in enumerate(groups) if place + 2 < len(tables.file.groups)):
        wrong = [*groups[:at], groups[at] + 2, *groups[at + 1 :]]
        assert concordance(wrong, mine) < right


def test_no_stop_loads_rank_as_the_groups_do(
    tables: Tables, no_stop_loads: "Callable[[float], list[NoStopLoad]]"
) -> None:
    """Every printed no-stop time of both tables, depths mixed: rho at least 0.99, at each depth exactly 1."""
    found = no_stop_loads(FITTING)
    groups, mine = [tables.file.groups.index(one.group) for one in found], [one.within for one in found]
    rho = float(spearmanr(groups, mine).statistic)
    print(f"{len(found)} no-stop times: rho {rho:.4f}")
    assert rho >= 0.99
    for depth in {one.depth for one in found}:
        here = [(tables.file.groups.index(one.group), one.within) for one in found if one.depth == depth]
        assert sorted(here) == sorted(here, key=lambda pair: pair[1])


def test_one_load_ends_each_group_at_every_depth(
    no_stop_loads: "Callable[[float], list[NoStopLoad]]",
    tops_of: "Callable[[list[NoStopLoad]], dict[str, float]]",
) -> None:
    """In the 120 min compartment one load per letter gives the printed minutes; in its neighbours none does.

    Wanted: 99 % of all printed no-stop times to the minute, and less than 97 % a minute of half-time away.
    """
    share = {}
    for half_time in (100.0, 110.0, 119.0, 120.0, 121.0, 130.0, 160.0):
        found = no_stop_loads(half_time)
        tops = tops_of(found)
        fit = sum(one.fits(tops[one.group]) for one in found)
        share[half_time] = fit / len(found)
        print(f"{half_time:5.0f} min  {fit} of {len(found)} times to the minute")
    assert share[FITTING] >= 0.99
    assert max(fit for half_time, fit in share.items() if half_time != FITTING) < 0.97


def test_schedules_fall_between_the_loads_of_the_no_stop_table(
    tables: Tables,
    tissue: Callable[..., "Tissue"],
    no_stop_loads: "Callable[[float], list[NoStopLoad]]",
    tops_of: "Callable[[list[NoStopLoad]], dict[str, float]]",
) -> None:
    """Two tables, one reckoning: the letter of every schedule is the one its load has in the no-stop table.

    Within 0.02 fsw, the most by which the no-stop times leave a group's end open.
    """
    rows, tops = ranked(tables), tops_of(no_stop_loads(FITTING))
    ends = [0.0, *(tops[group] for group in tables.file.groups)]
    for row, load in zip(rows, loads(tissue(FITTING), rows), strict=True):
        place = tables.file.groups.index(row.group or "")
        assert ends[place] - 0.02 < load <= ends[place + 1] + 0.02, (row.depth, row.time, row.group, load)
