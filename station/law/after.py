"""After a dive: how long the diver is observed, and how long its record is kept."""

import calendar
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from station.law.conditions import Circumstances, applies
from station.law.model import Authority, Basis
from station.moments import ms_between


@dataclass(frozen=True)
class Observed:
    """The observation of a diver: what is asked, by which paragraph, for how many minutes."""

    minutes: int
    what: str
    paragraph: str
    basis: Basis


@dataclass(frozen=True)
class ObservedNow:
    """An observation at one moment; `left_s` is rounded up, 0 once it is over.

    `begun` and `until` are None while the diver is still under pressure.
    """

    rule: Observed
    begun: datetime | None
    until: datetime | None
    left_s: int | None


@dataclass(frozen=True)
class Kept:
    """Until which day a record is kept, at the least, and by which paragraph."""

    until: date
    paragraph: str
    basis: Basis


def observation(authorities: Sequence[Authority], dive: Circumstances) -> Observed | None:
    """Return the longest observation that is asked for of a dive; None when none is."""
    found = [
        Observed(rule.minutes, rule.what, one.cited(rule.paragraph), rule.basis)
        for one in authorities
        for rule in one.observation
        if applies(rule.when, dive)
    ]
    return max(found, key=lambda one: one.minutes, default=None)


def observed_now(rule: Observed, begun: datetime | None, now: datetime) -> ObservedNow:
    """Return the observation at a moment: time left rounded up, so that none ends before its time."""
    if begun is None:
        return ObservedNow(rule, None, None, None)
    until = begun + timedelta(minutes=rule.minutes)
    return ObservedNow(rule, begun, until, -(-max(0, ms_between(now, until)) // 1000))


def kept_until(authorities: Sequence[Authority], day: date, dive: Circumstances) -> Kept | None:
    """Return the last day up to which the record of a dive is kept, by whoever asks for the longest."""
    found = [
        Kept(_later(day, rule.years, rule.months), one.cited(rule.paragraph), rule.basis)
        for one in authorities
        for rule in one.retention
        if rule.papers == "record of dive" and applies(rule.when, dive)
    ]
    return max(found, key=lambda one: one.until, default=None)


def _later(day: date, years: int, months: int) -> date:
    """Return the day so many years and months on; where its month is shorter, the first of the next."""
    count = day.month - 1 + months
    year, month = day.year + years + count // 12, count % 12 + 1
    if day.day <= calendar.monthrange(year, month)[1]:
        return date(year, month, day.day)
    return date(year + month // 12, month % 12 + 1, 1)
