"""How long the air lasts: each bank's trend beside the plan, and how long until only the reserve is left.

Two reckonings stand side by side: by the planned flow and by the readings. The earlier leads.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from station.supply.bank import bank_held_scf, bank_least_psig, minutes_left
from station.supply.cover import Station, Store, for_divers, on_line, stores
from station.supply.model import Bank, Compressor, Supply
from station.supply.need import Need, OnHose, need_of_all
from station.supply.pressure import SURFACE_PSIA
from station.supply.readings import Reading
from station.supply.trend import Span, Trend, in_order, trend
from station.units import down_to, up_to


@dataclass(frozen=True)
class BankOutlook:
    """One bank: its trend, and by it the times from now to its change-over and to its minimum.

    All are None while there is no trend; `words` say what the trend is, or why there is none.
    """

    id: str
    on_line: bool
    trend: Trend | None
    to_change_over: Span | None
    to_minimum: Span | None
    words: str


@dataclass(frozen=True)
class Outlook:
    """The whole supply: what is drawn against what was planned, and when only the reserve is left.

    `drawn_scfm` is None without a trend; `surely_scfm` is the least that may be drawn by it. `faster` is how
    many times the planned flow is drawn, at least 1, for `demand`. `reserve_by_plan_min` and
    `reserve_by_trend` run from now; `reserve_min` is the earlier.
    """

    banks: tuple[BankOutlook, ...]
    stores: tuple[Store, ...]
    planned_scfm: float
    drawn_scfm: float | None
    surely_scfm: float
    faster: float
    reserve_by_plan_min: int | None
    reserve_by_trend: Span | None
    words: str

    @property
    def reserve_min(self) -> int | None:
        """Return the minutes until only the reserve is left, by the earlier of both reckonings."""
        by_trend = None if self.reserve_by_trend is None else self.reserve_by_trend.earliest_min
        known = [one for one in (self.reserve_by_plan_min, by_trend) if one is not None]
        return min(known, default=None)

    @property
    def falling_faster(self) -> bool:
        """Return whether more is drawn than was planned."""
        return self.faster > 1


@dataclass(frozen=True)
class Watched:
    """The readings of every gauge, and what is known of the sources beside them.

    `changed` says when a source was last brought on, shut off or filled, where that was entered.
    """

    history: Mapping[str, Sequence[Reading]]
    now: datetime
    on_line: str | None = None
    lost: frozenset[str] = frozenset()
    drawn_since: datetime | None = None
    drawn_before_scf: float = 0.0
    changed: Mapping[str, datetime] = field(default_factory=dict)

    @property
    def station(self) -> Station:
        """Return the sources as they stand, with the last reading of each."""
        last = {gauge: in_order(readings)[-1] for gauge, readings in self.history.items() if readings}
        return Station(last, self.now, self.on_line, self.lost, self.drawn_since, self.drawn_before_scf)


def outlook(supply: Supply, watched: Watched, divers: Sequence[OnHose]) -> Outlook:
    """Return how long the air lasts from now for these divers, at their present depths."""
    need = need_of_all(supply, divers)
    trends = {bank.id: _trend(supply, bank, watched) for bank in supply.banks if bank.id not in watched.lost}
    drawn = _drawn(trends)
    faster = max(1.0, drawn / need.scfm) if drawn is not None and need.scfm > 0 else 1.0
    here = on_line(supply, watched.station)
    sources = () if need.psig is None else stores(supply, watched.station, need.psig, need.scfm * faster)
    kept = [one for one in for_divers(sources) if one.role != "reserve"]
    return Outlook(
        banks=tuple(
            _bank(supply, bank, trends.get(bank.id), need, watched.now, online=bank.id == here)
            for bank in supply.banks
        ),
        stores=sources,
        planned_scfm=up_to(need.scfm, 0.1),
        drawn_scfm=drawn,
        surely_scfm=sum(max(0.0, one.slowest_scfm) for one in trends.values() if one is not None),
        faster=faster,
        reserve_by_plan_min=_by_plan(kept, need),
        reserve_by_trend=_by_trend(kept, trends),
        words=_words(drawn, need),
    )


def compressor_tank_s(compressor: Compressor, need: Need) -> int | None:
    """Return for how many seconds a volume tank feeds the divers if its compressor stops, rounded down.

    U.S. Navy Diving Manual Revision 4, 8-19: the tank buys the time of the change-over. Ideal gas: these are
    low pressures. None without a tank, a demand or a figure for the manifold.
    """
    if compressor.volume_tank_cu_ft is None or need.psig is None or need.scfm <= 0:
        return None
    over_psi = max(0.0, compressor.delivers_psig - need.psig)
    held = over_psi / SURFACE_PSIA * compressor.volume_tank_cu_ft
    return int(down_to(held / need.scfm * 60))


def _trend(supply: Supply, bank: Bank, watched: Watched) -> Trend | None:
    history = watched.history.get(bank.id, ())
    return trend(bank, history, supply.air_temperature, watched.changed.get(bank.id))


def _drawn(trends: Mapping[str, Trend | None]) -> float | None:
    """Return what goes out of all banks that fall; None when no bank has a trend."""
    found = [one.scfm for one in trends.values() if one is not None]
    return sum(max(0.0, one) for one in found) if found else None


def _bank(  # noqa: PLR0913 - what one bank's outlook depends on
    supply: Supply, bank: Bank, found: Trend | None, need: Need, now: datetime, *, online: bool
) -> BankOutlook:
    if found is None:
        words = "no trend yet: it takes four readings since the last refill or change-over"
        return BankOutlook(bank.id, online, None, None, None, words)
    if need.psig is None:
        return BankOutlook(bank.id, online, found, None, None, need.pressure_words)
    air, least = supply.air_temperature, bank_least_psig(bank, need.psig)
    change = max(least, bank.change_over_psig or 0)
    return BankOutlook(
        id=bank.id,
        on_line=online,
        trend=found,
        to_change_over=found.span(bank_held_scf(bank, change, air), now),
        to_minimum=found.span(bank_held_scf(bank, least, air), now),
        words=found.words,
    )


def _by_plan(kept: Sequence[Store], need: Need) -> int | None:
    """Return the minutes the banks last at the planned flow, less what running compressors deliver."""
    flow = need.scfm - sum(one.scfm for one in kept)
    return minutes_left(sum(one.scf or 0 for one in kept), flow)


def _by_trend(kept: Sequence[Store], trends: Mapping[str, Trend | None]) -> Span | None:
    """Return the range of minutes the banks last at the draw their readings show."""
    found = [one for one in trends.values() if one is not None]
    fastest = sum(max(0.0, one.fastest_scfm) for one in found)
    slowest = sum(max(0.0, one.slowest_scfm) for one in found)
    if fastest <= 0:
        return None
    left = sum(one.scf or 0 for one in kept)
    spread = sum((one.high_scf - one.low_scf) / 2 for one in found)
    late = int(up_to((left + spread) / slowest)) if slowest > 0 else None
    return Span(int(down_to(max(0.0, left - spread) / fastest)), late)


def _words(drawn: float | None, need: Need) -> str:
    planned = f"{up_to(need.scfm, 0.1):.1f} scfm planned"
    if drawn is None:
        return f"{planned}; no trend of the readings yet"
    shown = f"{up_to(drawn, 0.1):.1f} scfm by the readings"
    return f"{shown}, {'MORE than' if drawn > need.scfm else 'against'} {planned}"
