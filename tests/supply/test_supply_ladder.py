"""The ladder's air: what the supply hands to the ladder comes to the same as its own sums."""

from datetime import UTC, datetime, timedelta

import pytest

from station.dive.ascent import Ascent
from station.dive.ladder import Air, air_climb, ladder
from station.files import read_bytes
from station.shipped import shipped
from station.supply.cover import Station, bank_need_scf, cover, stores
from station.supply.load import load_supply
from station.supply.need import OnHose, need_of_all
from station.supply.readings import Reading
from station.supply.way import Way, demand
from station.tables.load import load_tables

TABLES_PATH = shipped("configs") / "tables" / "usn-rev7-air.toml"
TABLES = load_tables(read_bytes(TABLES_PATH), TABLES_PATH.name)
SHIPPED = shipped("configs") / "supply" / "deep-sea-air.toml"
SUPPLY = load_supply(SHIPPED.read_bytes(), SHIPPED.name)
NOW = datetime(2031, 5, 4, 9, 0, tzinfo=UTC)
DIVER = OnHose(1, 90)


def way(ascent: Ascent, stay_min: float = 0) -> Way:
    return Way(DIVER, tuple((stop.depth, stop.minutes) for stop in ascent.stops), stay_min)


@pytest.mark.parametrize("psig", [800, 1500, 2800])
def test_every_rung_is_covered_as_the_supply_says(psig: float) -> None:
    need = need_of_all(SUPPLY, [DIVER])
    assert need.psig is not None
    station = Station({bank.id: Reading(psig, NOW) for bank in SUPPLY.banks}, NOW)
    sources = stores(SUPPLY, station, need.psig, need.scfm)
    kept = [one for one in sources if one.role != "reserve"]
    air = Air(
        ascent_scf=lambda ascent, _leave_by: bank_need_scf(kept, demand(SUPPLY, [way(ascent)])),
        usable_scf=sum(one.scf or 0 for one in kept),
        as_of=NOW,
        bottom_scfm=need.scfm,
        reserve_scf=0,
    )
    left_surface = NOW - timedelta(minutes=10)
    rungs = ladder(TABLES, 90, left_surface, NOW, air_climb(TABLES, 90), air=air).rungs
    assert len(rungs) > 5
    for rung in rungs:
        assert rung.leave_by is not None
        stay = (rung.leave_by - NOW) / timedelta(minutes=1)
        found = cover(sources, demand(SUPPLY, [way(rung.ascent, stay)]))
        assert rung.spare_scf == pytest.approx(found.spare_scf, abs=1)
        assert rung.covers is found.covered
