"""A diver's own log and totals; group and interval now, and the wait before flying.

Totals are of sound records of real dives; the same body under two names counts once. What counts for the next
dive is read from its files again, never taken from the index.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from station.dive.flying import AltitudeWait, airliner_rise_ft, wait_before_altitude
from station.dive.repetitive import residual
from station.dive.series import Residual, SeriesChoices, interval_minutes
from station.moments import iso
from station.record.recorded import RecordedDive
from station.shelf.earlier import LOOK_BACK, sound_dives
from station.shelf.entry import Entry, ShelvedDive
from station.shelf.shelf import Shelf
from station.tables.model import Tables

DAYS_BACK: Final = LOOK_BACK.days


@dataclass(frozen=True)
class Rules:
    """What a standing is reckoned by: tables with the digest of their file, choices, altitude of the site."""

    tables: Tables
    tables_sha256: str
    choices: SeriesChoices
    altitude_ft: float


@dataclass(frozen=True)
class Totals:
    """Sums over dives: how many, minutes on the bottom, the deepest in fsw, the last ending."""

    dives: int
    bottom_min: int
    deepest_fsw: float
    last: datetime | None


@dataclass(frozen=True)
class Log:
    """A diver's own log: what counts in the totals, and what does not."""

    counted: tuple[Entry, ...]
    drills: int
    twice: int
    unsound: tuple[Entry, ...]

    @property
    def totals(self) -> Totals:
        """Sums over all that counts."""
        return _totals(self.counted)

    @property
    def by_year(self) -> dict[int, Totals]:
        """Sums of each year of the records' days, the latest first."""
        years = sorted({one.day.year for one in _dives(self.counted)}, reverse=True)
        return {
            year: _totals([one for one in self.counted if one.dive and one.dive.day.year == year])
            for year in years
        }


@dataclass(frozen=True)
class Standing:
    """Where a diver stands at a moment; `last` None without a dive that counts.

    `residual` is for another dive to the depth of the last one. `doubts` say what was left out and might
    have counted.
    """

    diver: str
    diver_name: str
    at: datetime
    last: RecordedDive | None
    interval_min: int | None
    residual: Residual | None
    flying: AltitudeWait
    counted: tuple[str, ...]
    doubts: tuple[str, ...]

    @property
    def group_now(self) -> str | None:
        """The group at the moment; None once none is left, and where none can be told."""
        if self.residual is None or self.residual.kind == "blocked":
            return None
        if self.residual.kind == "one dive":
            return self.residual.old_group
        return self.residual.new_group


def log_of(entries: Iterable[Entry]) -> Log:
    """Return the log of a diver's entries, in their order."""
    counted: list[Entry] = []
    unsound: list[Entry] = []
    seen: set[str] = set()
    drills = twice = 0
    for one in entries:
        if not one.sound or one.dive is None:
            unsound.append(one)
        elif one.dive.drill:
            drills += 1
        elif one.body_sha256 in seen:
            twice += 1
        else:
            seen.add(one.body_sha256)
            counted.append(one)
    return Log(tuple(counted), drills, twice, tuple(unsound))


def standing(shelf: Shelf, rules: Rules, entries: Sequence[Entry], now: datetime) -> Standing:
    """Return where the diver of these entries stands; there must be one entry with a dive at the least."""
    late = [one for one in entries if _may_count(one, now)]
    read = sound_dives([shelf.records / one.name for one in late], shelf.listed, now)
    dives = [one for one in read if not one.drill]
    last = dives[-1] if dives else None
    tables = rules.tables
    earlier = [one.dive(tables) for one in dives]
    newest = next(one.dive for one in entries if one.dive)
    left = None
    if last is not None:
        left = residual(tables, earlier, now, earlier[-1].depth, choices=rules.choices)
    return Standing(
        diver=last.diver if last else newest.diver,
        diver_name=last.diver_name if last else newest.diver_name,
        at=now,
        last=last,
        interval_min=interval_minutes(last.surfaced, now) if last else None,
        residual=left,
        flying=wait_before_altitude(tables, earlier, airliner_rise_ft(_lowest(rules, late))),
        counted=tuple(one.record for one in dives),
        doubts=tuple(_doubts(late, {one.record for one in dives}, rules, now)),
    )


def divers_of_late(shelf: Shelf, now: datetime) -> list[list[Entry]]:
    """Return the entries of late of each diver, drills left out, in the order of the divers' names."""
    found = shelf.select(
        "finished >= ? AND drill IS NOT 1 ORDER BY diver_name, diver, finished DESC", iso(now - LOOK_BACK)
    )
    divers: dict[str, list[Entry]] = {}
    for one in found:
        if one.dive is not None:
            divers.setdefault(one.dive.diver, []).append(one)
    return list(divers.values())


def _may_count(one: Entry, now: datetime) -> bool:
    return one.dive is not None and not one.dive.drill and one.dive.finished >= now - LOOK_BACK


def _lowest(rules: Rules, late: Iterable[Entry]) -> float:
    """Return the lowest altitude of the sites: the rise from there is the greatest."""
    return min([one.altitude_ft for one in _dives(late)], default=rules.altitude_ft)


def _doubts(late: Sequence[Entry], counted: set[str], rules: Rules, now: datetime) -> list[str]:
    found = []
    for one in late:
        dive = one.dive
        if dive is None:
            continue
        if one.name not in counted:
            why = one.problem or (
                f"it ends {iso(dive.finished)}, after {iso(now)}"
                if dive.finished > now
                else "it does not say what the next dive needs to know"
            )
            found.append(f"{one.name} is not counted: {why}")
        elif dive.table_sha256 != rules.tables_sha256:
            found.append(f"{one.name} was reckoned by another table file; its group is taken as it stands")
    return found


def _dives(entries: Iterable[Entry]) -> list[ShelvedDive]:
    return [one.dive for one in entries if one.dive is not None]


def _totals(entries: Iterable[Entry]) -> Totals:
    dives = _dives(entries)
    return Totals(
        dives=len(dives),
        bottom_min=sum(one.bottom_min for one in dives),
        deepest_fsw=max((one.depth_fsw for one in dives), default=0),
        last=max((one.finished for one in dives), default=None),
    )
