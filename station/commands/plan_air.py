"""The air of a dive on paper: what it takes, whether the supply carries it, and until when it would."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Any

from station.dive.planning import PlanResult
from station.errors import UsageError
from station.supply.cover import Coverage, Station, cover, stores, without_primary
from station.supply.model import Supply
from station.supply.need import OnHose, need_of_all
from station.supply.readings import Reading, impossible
from station.supply.turn import Turn, turn
from station.supply.way import Demand, Way, demand
from station.units import parse_pressure, to_fsw, up_to

PAPER = datetime(2000, 1, 1, tzinfo=UTC)
"""When the banks are read on paper; it is never shown."""

PlanAt = Callable[[int], PlanResult | None]


@dataclass(frozen=True)
class PlanAir:
    """The air of a plan; `second` is leaving at the end of the bottom time with the primary gone."""

    divers: int
    demand: Demand
    demand_scfm: float
    pressures: Mapping[str, float]
    given: frozenset[str]
    whole: Coverage
    second: Coverage
    until: Turn


def plan_air(
    supply: Supply, result: PlanResult, plan_at: PlanAt, divers: int, pressures: Mapping[str, float]
) -> PlanAir:
    """Return the air of a plan for so many divers at once, banks at these pressures, the others full."""
    full = {bank.id: bank.working_psig for bank in supply.banks}
    psig = {**full, **pressures}
    station = Station({source: Reading(one, PAPER) for source, one in psig.items()}, PAPER)
    hoses = [OnHose(lane, to_fsw(result.depth, result.schedule.unit)) for lane in range(1, divers + 1)]

    def ways(one: PlanResult, stay: int) -> list[Way]:
        unit = one.schedule.unit
        stops = tuple((to_fsw(stop.depth, unit), float(stop.minutes)) for stop in one.ascent.stops)
        return [Way(diver, stops, stay) for diver in hoses]

    def carried(at: Station, one: PlanResult, stay: int) -> Coverage:
        found = demand(supply, ways(one, stay))
        return cover(() if found.psig is None else stores(supply, at, found.psig, 0), found)

    def coverage_at(minute: int) -> Coverage | None:
        one = plan_at(minute)
        return None if one is None else carried(station, one, minute)

    second = replace(station, lost=without_primary(supply, station))
    return PlanAir(
        divers=divers,
        demand=demand(supply, ways(result, result.minutes)),
        demand_scfm=up_to(need_of_all(supply, hoses).scfm, 0.1),
        pressures=psig,
        given=frozenset(pressures),
        whole=carried(station, result, result.minutes),
        second=carried(second, result, 0),
        until=turn(coverage_at, 1, None),
    )


def pressures_of(supply: Supply, typed: list[str]) -> dict[str, float]:
    """Return the pressures typed as BANK=PRESSURE, in psig.

    Raises:
        UsageError: for what is not so written, an unknown bank, or a pressure no gauge of it shows.

    """
    found: dict[str, float] = {}
    for text in typed:
        source, sign, pressure = text.partition("=")
        banks = [bank.id for bank in supply.banks]
        if not sign or source not in banks:
            raise UsageError(
                f"--bank takes a bank and its pressure such as {banks[0] if banks else 'bank'}=2800psig, "
                f"not '{text[:40]}' (there are: {', '.join(banks) or 'none'})"
            )
        found[source] = parse_pressure(pressure, "psig")
        why = impossible(supply, source, found[source])
        if why:
            raise UsageError(f"--bank: {why}")
    return found


def air_json(supply: Supply, air: PlanAir) -> dict[str, Any]:
    """Return the air of a plan as data: needs rounded up, what is there down."""
    return {
        "divers": air.divers,
        "standby_charged": supply.consumption.charge_standby,
        "need_scf": air.whole.need_scf,
        "usable_scf": air.whole.usable_scf,
        "reserve_scf": air.whole.reserve_scf,
        "spare_scf": air.whole.spare_scf if air.whole.known else None,
        "covered": air.whole.covered,
        "covered_without_primary": air.second.covered,
        "spare_without_primary_scf": air.second.spare_scf if air.second.known else None,
        "manifold_psig": air.demand.psig,
        "demand_scfm": air.demand_scfm,
        "air_to_min": air.until.air_min,
        "air_open": air.until.air_open,
        "pressures_psig": dict(air.pressures),
        "parts": air.demand.words,
    }


def air_lines(supply: Supply, air: PlanAir) -> list[str]:
    """Return the air of a plan in words, one line each."""
    standby = " and the standby" if supply.consumption.charge_standby else ""
    who = f"{air.divers} {'diver' if air.divers == 1 else 'divers'}{standby}"
    banks = ", ".join(
        f"{bank.name} {air.pressures[bank.id]:g} psig{'' if bank.id in air.given else ' (full)'}"
        for bank in supply.banks
    )
    needs = "no figure so deep" if air.demand.psig is None else f"{air.demand.psig} psig"
    return [
        f"Air           {air.whole.need_scf} scf for {who}: {_verdict(air.whole)}",
        f"  from        {supply.name}{', EXAMPLE SIZES' if supply.example else ''}: {banks or 'no bank'}",
        f"  manifold    {needs}; on the bottom {air.demand_scfm:g} scfm",
        f"  primary     if it fails as the bottom is left, the secondary: {_verdict(air.second)}",
        f"  air lasts   {_until(air.until)}",
    ]


def _verdict(found: Coverage) -> str:
    if not found.known:
        return f"NOT KNOWN, {found.words}"
    if found.covered:
        return f"covered, {found.spare_scf} of {found.usable_scf} scf over, the reserve kept"
    reserve = ", only by the reserve" if found.by_reserve_only else ""
    return f"NOT COVERED{reserve}, {-found.spare_scf} scf short of {found.need_scf}"


def _until(found: Turn) -> str:
    if found.air_min is None:
        return "not for one minute of bottom time"
    if found.air_open:
        return f"beyond every schedule looked at, {found.air_min} min"
    return f"for a bottom time of {found.air_min} min at most"
