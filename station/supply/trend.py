"""How a bank has been drawn, and how long it lasts at that: a range from its readings, never a false point.

The line is drawn through the air a bank holds as a real gas, which falls evenly under an even draw where the
gauge does not. The earliest time leads; it takes the lower edge of the level and the fastest fall.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from station.supply.bank import bank_held_scf
from station.supply.model import AirTemperature, Bank
from station.supply.pressure import SURFACE_PSIA
from station.supply.readings import Reading
from station.supply.robust import Line, Point, fit
from station.supply.runs import Began, Run, gate, latest_run
from station.units import down_to, up_to

LEAST_READINGS = 4
"""A trend is given from so many on: among fewer a misread one cannot be told."""

RECENT = 4
"""The draw of so many last readings is never left out of the range: it may have grown just now."""

MINUTE = timedelta(minutes=1)


@dataclass(frozen=True)
class Span:
    """From when to when something is due, in whole minutes from now; `latest_min` None: it may never be."""

    earliest_min: int
    latest_min: int | None

    @property
    def words(self) -> str:
        """Return the range in words."""
        if self.latest_min is None:
            return f"{self.earliest_min} min at the earliest"
        return f"{self.earliest_min} to {self.latest_min} min"


@dataclass(frozen=True)
class Trend:
    """The draw on one bank since `since`, in scfm as breathed; held air in scf at the last reading counted.

    `low_scf` is the lower edge of what is held at `at`: by the line, by the last reading counted, and by a
    lower reading still in question. `questioned` says in words which reading contradicts the trend.
    """

    bank: str
    since: datetime
    at: datetime
    readings: int
    began: Began
    scfm: float
    slowest_scfm: float
    fastest_scfm: float
    low_scf: float
    high_scf: float
    psi_per_min: float
    questioned: str | None
    aside: tuple[str, ...]

    @property
    def words(self) -> str:
        """Return what was found, and from what."""
        started = "" if self.began == "first reading" else f" since the {self.began}"
        return (
            f"{up_to(self.scfm, 0.1):.1f} scfm ({down_to(self.slowest_scfm, 0.1):.1f} to "
            f"{up_to(self.fastest_scfm, 0.1):.1f}) by {self.readings} readings{started}"
        )

    def span(self, least_scf: float, now: datetime) -> Span | None:
        """Return when the bank is down to an amount held; None when it is not being drawn at all."""
        if self.fastest_scfm <= 0:
            return None
        gone = (now - self.at) / MINUTE
        soon = (self.low_scf - least_scf) / self.fastest_scfm - gone
        late = None
        if self.slowest_scfm > 0:
            late = int(up_to(max(0.0, (self.high_scf - least_scf) / self.slowest_scfm - gone)))
        return Span(int(down_to(max(0.0, soon))), late)


def trend(
    bank: Bank, history: Sequence[Reading], air: AirTemperature, since: datetime | None = None
) -> Trend | None:
    """Return the trend of a bank's readings; None while the latest run has fewer than four of them.

    `since` is when the bank was last brought on line, shut off or filled, where that was entered: older
    readings do not count. What was not entered is looked for in the readings.
    """
    ordered = [one for one in in_order(history) if since is None or one.at >= since]
    if not ordered:
        return None
    start, read_to = ordered[0].at, _read_to_scf(bank)
    run = latest_run([_point(bank, air, start, one) for one in ordered], read_to)
    line = run.line(read_to)
    if line is None or len(run.points) < LEAST_READINGS:
        return None
    last = run.points[-1]
    low = min(line.level, last[1]) - line.spread
    high = max(line.level, last[1]) + line.spread
    recent = fit(run.points[-RECENT:], read_to)
    fastest = line.fastest if recent is None else max(line.fastest, recent.fall)
    fastest, low = _if_true(run, line, fastest, low)
    by_point = {_point(bank, air, start, one): one for one in ordered}
    return Trend(
        bank=bank.id,
        since=start + run.points[0][0] * MINUTE,
        at=start + last[0] * MINUTE,
        readings=len(run.points),
        began=run.began,
        scfm=line.fall,
        slowest_scfm=line.slowest,
        fastest_scfm=fastest,
        low_scf=low,
        high_scf=high,
        psi_per_min=_psi(bank, line, air, by_point[last].pressure_psig),
        questioned=_questioned(bank, run, by_point, line),
        aside=tuple(f"{by_point[one].pressure_psig:g} psig set aside" for one in run.aside),
    )


def _if_true(run: Run, line: Line, fastest: float, low: float) -> tuple[float, float]:
    """Return the fastest fall and the lower edge of the level, were an odd low reading the true one."""
    last, odd = run.points[-1], run.questioned
    if odd is None or odd[1] >= line.level_at(odd[0]):
        return fastest, low
    gone = odd[0] - last[0]
    steepest = max(fastest, (last[1] - odd[1]) / gone) if gone else fastest
    return steepest, min(low, odd[1] - line.spread + line.fall * gone)


def contradicts(bank: Bank, history: Sequence[Reading], reading: Reading, air: AirTemperature) -> str | None:
    """Return why a new reading should be read again before it is believed; None when it fits the trend.

    For the moment of entry: the reading is asked about, and taken all the same when it is entered again.
    """
    before = [one for one in in_order(history) if one.at < reading.at]
    if not before:
        return None
    start, read_to = before[0].at, _read_to_scf(bank)
    run = latest_run([_point(bank, air, start, one) for one in before], read_to)
    minute, amount = _point(bank, air, start, reading)
    within = gate(run, minute, read_to)
    if within is None or within[0] <= amount <= within[1]:
        return None
    return _odd(bank, reading.pressure_psig, above=amount > within[1])


def in_order(history: Sequence[Reading]) -> list[Reading]:
    """Return readings by their times, one for each moment: the last given."""
    by_time = {one.at: one for one in history}
    return [by_time[at] for at in sorted(by_time)]


def _point(bank: Bank, air: AirTemperature, start: datetime, reading: Reading) -> tuple[float, float]:
    return (reading.at - start) / MINUTE, bank_held_scf(bank, reading.pressure_psig, air)


def _read_to_scf(bank: Bank) -> float:
    """Return how near the amount held is known: what one reading is off by, as the trade reckons it."""
    return bank.read_to_psi / SURFACE_PSIA * bank.floodable_cu_ft * bank.flasks_on_line


def _psi(bank: Bank, line: Line, air: AirTemperature, pressure_psig: float) -> float:
    """Return the fall of the gauge for the draw, at the pressure there is."""
    per_psi = bank_held_scf(bank, pressure_psig + 1, air) - bank_held_scf(bank, pressure_psig, air)
    return line.fall / per_psi


def _questioned(bank: Bank, run: Run, by_point: Mapping[Point, Reading], line: Line) -> str | None:
    if run.questioned is None:
        return None
    minute, amount = run.questioned
    return _odd(bank, by_point[run.questioned].pressure_psig, above=amount > line.level_at(minute))


def _odd(bank: Bank, pressure_psig: float, *, above: bool) -> str:
    way = "above" if above else "below"
    other = "a refill" if above else "a greater draw"
    return (
        f"{pressure_psig:g} psig on {bank.name} stands {way} the trend of its readings: read it again; "
        f"a second like it will be taken for {other}"
    )
