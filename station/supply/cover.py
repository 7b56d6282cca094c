"""Whether the sources carry a demand in their order, the reserve kept; and if not, how much is missing.

The sources of the role 'reserve' are kept for the standby diver and never counted towards the demand (U.S.
Navy Diving Manual Revision 4, 8-18: that reserve is extra). A source that was not read counts for nothing,
and the words say so. What was drawn since a reading is taken off at the planned flow.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import combinations

from station.supply.bank import Usable, bank_usable
from station.supply.model import CONSUMERS, Bank, Compressor, Consumer, Supply, SupplyRole
from station.supply.readings import Reading
from station.supply.way import Demand
from station.units import down_to, up_to

Group = tuple[Consumer, ...]
GROUPS: tuple[Group, ...] = tuple(
    group for size in range(1, len(CONSUMERS) + 1) for group in combinations(CONSUMERS, size)
)


@dataclass(frozen=True)
class Station:
    """What is known of the sources now.

    `on_line` is the source that feeds the manifold; None is the first in the order of change-over that is
    not lost. `lost` are sources that failed or are shut off. `drawn_since` is when air was first drawn: an
    older reading is reckoned from then on. `drawn_before_scf` is what was taken of the source on line since
    its last reading by divers who no longer draw.
    """

    readings: Mapping[str, Reading]
    now: datetime
    on_line: str | None = None
    lost: frozenset[str] = frozenset()
    drawn_since: datetime | None = None
    drawn_before_scf: float = 0.0


@dataclass(frozen=True)
class Store:
    """What one source has for the divers now; `scf` is None where it was not read, `scfm` steady flow."""

    id: str
    name: str
    role: SupplyRole
    feeds: Group
    scf: float | None
    scfm: float
    words: str


@dataclass(frozen=True)
class Coverage:
    """A demand against the sources: whole scf, the need rounded up, all that is there rounded down.

    `spare_scf` below 0 is how much is missing with the reserve kept; `spare_with_reserve_scf` with the
    reserve drawn as well.
    """

    need_scf: int
    usable_scf: int
    reserve_scf: int
    spare_scf: int
    spare_with_reserve_scf: int
    known: bool
    words: str

    @property
    def covered(self) -> bool:
        """Return whether the demand is carried with the reserve kept."""
        return self.known and self.spare_scf >= 0

    @property
    def by_reserve_only(self) -> bool:
        """Return whether only drawing the reserve carries the demand."""
        return self.known and self.spare_scf < 0 <= self.spare_with_reserve_scf


def on_line(supply: Supply, station: Station) -> str | None:
    """Return which source feeds the manifold; None when all are lost."""
    if station.on_line is not None and station.on_line not in station.lost:
        return station.on_line
    return next((one.id for one in supply.in_order if one.id not in station.lost), None)


def stores(supply: Supply, station: Station, manifold_psig: float, drawn_scfm: float) -> tuple[Store, ...]:
    """Return what every source that is not lost has at a manifold pressure, in the order of change-over.

    `drawn_scfm` is what is drawn from the source on line since its last reading.
    """
    here, carried = on_line(supply, station), 0.0
    found = []
    for one in supply.in_order:
        if one.id in station.lost:
            continue
        if isinstance(one, Compressor):
            found.append(_compressor(one, manifold_psig))
            continue
        if one.id == here:
            carried = _drawn_scf(station, one, drawn_scfm)
        usable = _usable(supply, one, station.readings.get(one.id), manifold_psig)
        taken = 0.0 if usable is None else min(carried, usable.scf)
        # What the bank on line could not give since its reading came from the next one.
        carried -= taken
        found.append(_bank(one, usable, taken))
    return tuple(found)


def cover(sources: Sequence[Store], demand: Demand) -> Coverage:
    """Return whether the sources carry a demand."""
    if demand.psig is None:
        return Coverage(int(up_to(demand.scf)), 0, 0, 0, 0, known=False, words=demand.pressure_words)
    kept = [one for one in sources if one.role != "reserve"]
    reserve = sum(one.scf or 0 for one in sources if one.role == "reserve")
    spare = int(down_to(_spare(kept, demand)))
    return Coverage(
        need_scf=int(up_to(bank_need_scf(kept, demand))),
        usable_scf=int(down_to(sum(one.scf or 0 for one in kept))),
        reserve_scf=int(down_to(reserve)),
        spare_scf=spare,
        spare_with_reserve_scf=int(down_to(_spare(sources, demand))),
        known=True,
        words=_words(kept, spare),
    )


def bank_need_scf(sources: Sequence[Store], demand: Demand) -> float:
    """Return what a demand takes out of the banks, minute by minute beyond what compressors deliver."""
    return _need_of_group(sources, demand, CONSUMERS)


def for_divers(sources: Sequence[Store]) -> tuple[Store, ...]:
    """Return the sources that feed the divers; any other is no use to them, however much it holds."""
    return tuple(one for one in sources if "divers" in one.feeds)


def divers_need_scf(sources: Sequence[Store], demand: Demand) -> float:
    """Return what a demand takes out of the banks that feed the divers.

    That is their own part, or theirs with what others lack of sources of their own, whichever is more.
    """
    theirs = _group_scf(sources, ("divers",))
    return max(
        _need_of_group(sources, demand, group) - (_group_scf(sources, group) - theirs)
        for group in GROUPS
        if "divers" in group
    )


def without_primary(supply: Supply, station: Station) -> frozenset[str]:
    """Return the sources lost if the primary supply fails now: for the rule that the secondary recovers all.

    U.S. Navy Diving Manual Revision 4, 8-18; 46 CFR 197.340(b).
    """
    return station.lost | {one.id for one in supply.sources if one.role == "primary"}


def _drawn_scf(station: Station, bank: Bank, scfm: float) -> float:
    reading = station.readings.get(bank.id)
    if reading is None:
        return 0.0
    since = reading.at if station.drawn_since is None else max(reading.at, station.drawn_since)
    return max(0.0, (station.now - since) / timedelta(minutes=1)) * scfm + station.drawn_before_scf


def _usable(supply: Supply, bank: Bank, reading: Reading | None, psig: float) -> Usable | None:
    return None if reading is None else bank_usable(bank, reading.pressure_psig, psig, supply.air_temperature)


def _bank(bank: Bank, usable: Usable | None, drawn_scf: float) -> Store:
    if usable is None:
        return Store(
            bank.id, bank.name, bank.role, bank.feeds, None, 0, f"{bank.name}: not read, not counted"
        )
    left = usable.scf - drawn_scf
    since = f"; {up_to(drawn_scf):.0f} drawn since at the planned flow" if drawn_scf else ""
    words = f"{bank.name}: {down_to(left):.0f} scf ({usable.words}{since})"
    return Store(bank.id, bank.name, bank.role, bank.feeds, left, 0, words)


def _compressor(compressor: Compressor, psig: float) -> Store:
    """A compressor below the manifold's need delivers nothing that can be used."""
    name, at = compressor.name, compressor.delivers_psig
    if at < psig:
        words, flow = f"{name}: {at:g} psig is below the {psig:g} psig needed, not counted", 0.0
    else:
        words, flow = f"{name}: {compressor.delivers_scfm:g} scfm while it runs", compressor.delivers_scfm
    return Store(compressor.id, name, compressor.role, compressor.feeds, 0.0, flow, words)


def _spare(sources: Sequence[Store], demand: Demand) -> float:
    """Return the least that is over for any group of consumers, each with the sources that feed it.

    A group can be carried when every part of it can: what feeds only the divers is no use to the chamber.
    """
    drawing = {part.consumer for part in demand.parts} or set(CONSUMERS)
    groups = [group for group in GROUPS if set(group) <= drawing]
    return min(_group_scf(sources, group) - _need_of_group(sources, demand, group) for group in groups)


def _group_scf(sources: Sequence[Store], group: Group) -> float:
    return sum(one.scf or 0.0 for one in sources if set(group) & set(one.feeds))


def _need_of_group(sources: Sequence[Store], demand: Demand, group: Group) -> float:
    """Return what a group takes from banks: each minute the most any part of it draws beyond the flow."""
    inner = [one for one in GROUPS if set(one) <= set(group)]
    delivered = {one: sum(s.scfm for s in sources if set(one) & set(s.feeds)) for one in inner}
    if not any(delivered.values()):
        return sum(part.scf for part in demand.parts if part.consumer in group)
    return sum(
        max(0.0, *(sum(flows.get(c, 0.0) for c in one) - delivered[one] for one in inner))
        for flows in _minutes(demand)
    )


def _minutes(demand: Demand) -> Iterator[Mapping[Consumer, float]]:
    """Yield the flow of each consumer in every charged minute."""
    for minute in range(demand.minutes):
        flows: dict[Consumer, float] = {}
        for part in demand.parts:
            if part.start_min <= minute < part.start_min + part.minutes:
                flows[part.consumer] = flows.get(part.consumer, 0.0) + part.scfm
        yield flows


def _words(kept: Sequence[Store], spare_scf: int) -> str:
    verdict = f"{spare_scf} scf over" if spare_scf >= 0 else f"SHORT by {-spare_scf} scf"
    return f"{verdict}, the reserve kept: " + "; ".join(one.words for one in kept)
