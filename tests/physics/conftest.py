"""A model of dissolved inert gas that stands beside the tables, for tests only: it plans no dive.

A compartment takes up gas as the pressure of the gas breathed drives it in: dP/dt = k (Pi - P), with
k = ln 2 / half-time. The same dive is reckoned by a closed formula and by a general-purpose integrator, so
that neither the formula nor a slip in it is taken on trust.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from station.shipped import shipped
from station.tables.load import load_tables
from station.tables.model import Tables

Loads = NDArray[np.float64]
Stops = Sequence[tuple[int, int]]

INERT = 0.79
"""Nitrogen and argon in dry air, common practice; water vapour shifts all rows alike and is left out."""

ATMOSPHERE_FSW = 33.0
DESCENT, ASCENT = 75.0, 30.0
"""In fsw/min, the rates of the tables: the ascent read off USN Rev 7, Table 9-9, the descent from memory."""


@dataclass(frozen=True)
class Leg:
    """A stretch of a dive: from one depth to another at an even rate, depths in fsw."""

    start: float
    end: float
    minutes: float


def legs(depth: float, minutes: float, stops: Stops) -> Iterator[Leg]:
    """Yield a dive by the tables: descent inside the bottom time, each travel but the first in its stop."""
    down = min(depth / DESCENT, minutes)
    yield Leg(0, depth, down)
    yield Leg(depth, depth, minutes - down)
    here = depth
    for stop, stop_min in stops:
        travel = (here - stop) / ASCENT
        yield Leg(here, stop, travel)
        yield Leg(stop, stop, stop_min if here == depth else stop_min - travel)
        here = stop
    yield Leg(here, 0, here / ASCENT)


@dataclass(frozen=True)
class Tissue:
    """Compartments by their half-times in minutes; loads in fsw above what the surface leaves in them."""

    half_times: Loads

    @property
    def k(self) -> Loads:
        """The share that goes over in a minute, for each compartment."""
        k: Loads = np.log(2) / self.half_times
        return k

    def by_formula(self, depth: float, minutes: float, stops: Stops = ()) -> Loads:
        """Return the loads at surfacing by the closed solution for an even change of depth.

        Schreiner and Kelley 1971, from memory: P = Pi + R (t - 1/k) - (Pi - P0 - R/k) e^(-kt).
        """
        load = np.zeros_like(self.half_times)
        for leg in legs(depth, minutes, stops):
            if leg.minutes > 0:
                driving, rate = INERT * leg.start, INERT * (leg.end - leg.start) / leg.minutes
                decay = np.exp(-self.k * leg.minutes)
                load = driving + rate * (leg.minutes - 1 / self.k) - (driving - load - rate / self.k) * decay
        return load

    def by_integrator(self, depth: float, minutes: float, stops: Stops = ()) -> Loads:
        """Return the loads at surfacing by stepping the differential equation in absolute pressures."""
        load = np.full_like(self.half_times, INERT * ATMOSPHERE_FSW)
        for leg in legs(depth, minutes, stops):
            if leg.minutes > 0:
                load = self._stepped(leg, load)
        return load - INERT * ATMOSPHERE_FSW

    def _stepped(self, leg: Leg, load: Loads) -> Loads:
        def change(minute: float, pressure: Loads) -> Loads:
            depth = leg.start + (leg.end - leg.start) * minute / leg.minutes
            return self.k * (INERT * (depth + ATMOSPHERE_FSW) - pressure)

        found: Any = solve_ivp(change, (0, leg.minutes), load, method="DOP853", rtol=1e-9, atol=1e-9)
        assert found.success, found.message
        last: Loads = found.y[:, -1]
        return last


@dataclass(frozen=True)
class NoStopLoad:
    """The loads between which a group ends at one depth: after its longest time, and a minute later.

    `beyond` is None where the row ends at the no-stop limit, before its group does.
    """

    depth: int
    group: str
    within: float
    beyond: float | None

    def fits(self, top: float) -> bool:
        """Whether a group that ends at the load `top` has this longest time, to the minute."""
        return self.within <= top and (self.beyond is None or top < self.beyond)


@pytest.fixture(scope="session")
def tables() -> Tables:
    path = shipped("configs") / "tables" / "usn-rev7-air.toml"
    return load_tables(path.read_bytes(), path.name)


@pytest.fixture(scope="session")
def tissue() -> Callable[..., Tissue]:
    return lambda *half_times: Tissue(np.array(half_times, dtype=np.float64))


@pytest.fixture(scope="session")
def no_stop_loads(tables: Tables) -> Callable[[float], list[NoStopLoad]]:
    """What reckons every printed no-stop time of a group in one compartment."""

    def loads(half_time: float) -> list[NoStopLoad]:
        one = Tissue(np.array([half_time]))
        return [
            NoStopLoad(
                row.depth,
                group,
                float(one.by_formula(row.depth, longest)[0]),
                None if longest == row.limit else float(one.by_formula(row.depth, longest + 1)[0]),
            )
            for table in tables.file.no_stop
            for row in table.rows
            for group, longest in row.longest.items()
            if longest is not None
        ]

    return loads


@pytest.fixture(scope="session")
def tops_of() -> Callable[[list[NoStopLoad]], dict[str, float]]:
    """What finds, for each group, the one load that fits the most of its rows."""

    def tops(loads: list[NoStopLoad]) -> dict[str, float]:
        found: dict[str, float] = {}
        for group in sorted({one.group for one in loads}):
            mine = [one for one in loads if one.group == group]
            found[group] = max(
                (one.within for one in mine), key=lambda top: sum(one.fits(top) for one in mine)
            )
        return found

    return tops
