"""What is wrong with the air, as facts to make alarms of: a key that stays while it lasts, and words."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from station.supply.cover import Coverage
from station.supply.dated import Age
from station.supply.figures import GaugeFigures, SupplyFigures
from station.supply.outlook import Outlook

Kind = Literal[
    "short now",
    "short of plan",
    "short without primary",
    "below minimum",
    "falling faster",
    "silent",
    "questioned",
    "out of date",
]


@dataclass(frozen=True)
class AirFact:
    """One thing wrong with the air."""

    kind: Kind
    key: str
    words: str


@dataclass(frozen=True)
class Sums:
    """The demands that were set against the supply: each None where nobody depends on it."""

    leave_now: Coverage | None = None
    planned: Coverage | None = None
    without_primary: Coverage | None = None


def air_facts(figures: SupplyFigures, look: Outlook, sums: Sums, ages: Sequence[Age]) -> tuple[AirFact, ...]:
    """Return everything that is wrong with the air, the gravest kind first."""
    return (
        *_short(sums),
        *_low(figures, look),
        *_falling(look),
        *_silent(figures, look),
        *_questioned(look),
        *(AirFact("out of date", f"out of date {one.id}", one.words) for one in ages if one.out_of_date),
    )


def _short(sums: Sums) -> Iterator[AirFact]:
    """Without a figure for the manifold nothing is known to be carried: that is told as a shortage too."""
    now, planned, second = sums.leave_now, sums.planned, sums.without_primary
    if now is not None and not now.covered:
        drawn = "only by drawing the reserve" if now.by_reserve_only else "not even with the reserve"
        words = f"leaving now is covered {drawn}: {now.words}" if now.known else now.words
        yield AirFact("short now", "air short now", words)
    if planned is not None and not planned.covered:
        yield AirFact("short of plan", "air short of plan", f"the plan is not covered: {planned.words}")
    if second is not None and not second.covered:
        words = f"if the primary fails now the secondary does not bring everyone home: {second.words}"
        yield AirFact("short without primary", "air short without primary", words)


def _low(figures: SupplyFigures, look: Outlook) -> Iterator[AirFact]:
    for gauge in _watched(figures, look):
        if gauge.below_minimum:
            words = f"{gauge.name} below its minimum of {gauge.minimum_psig} psig"
            yield AirFact("below minimum", f"{gauge.id} low", words)


def _falling(look: Outlook) -> Iterator[AirFact]:
    if look.falling_faster:
        yield AirFact(
            "falling faster", "air falling faster", f"the air falls faster than planned: {look.words}"
        )


def _silent(figures: SupplyFigures, look: Outlook) -> Iterator[AirFact]:
    for gauge in _watched(figures, look):
        if gauge.stale:
            since = "yet" if gauge.age_s is None else f"for {gauge.age_s // 60} min {gauge.age_s % 60:02} s"
            yield AirFact("silent", f"{gauge.id} silent", f"{gauge.name} not read {since}")


def _questioned(look: Outlook) -> Iterator[AirFact]:
    for bank in look.banks:
        if bank.trend is not None and bank.trend.questioned is not None:
            yield AirFact("questioned", f"{bank.id} questioned", bank.trend.questioned)


def _watched(figures: SupplyFigures, look: Outlook) -> Iterator[GaugeFigures]:
    """Yield the gauges lives hang on now: the manifold's, and that of the bank on line."""
    yield figures.manifold
    online = {bank.id for bank in look.banks if bank.on_line}
    yield from (bank for bank in figures.banks if bank.id in online)
