"""The ladder of leaving times: for each row from the one in force on, by when to leave and what it costs.

Depth and time enter as for a schedule: corrected, at altitude the sea-level equivalent, with the residual
nitrogen time in front of the bottom time.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from station.dive.ascent import Ascent, ascend
from station.dive.schedule import NoSchedule, Schedule, select
from station.dive.times import MS_PER_S, minutes_up, seconds_down
from station.events import Gas
from station.moments import MILLISECOND, ms_between
from station.tables.model import Tables
from station.units import down_to, up_to

Climb = Callable[[Schedule], Ascent]
"""How an ascent by a schedule goes: on air or oxygen, with the stops of the site's altitude."""


@dataclass(frozen=True)
class Air:
    """The air of all divers: what an ascent takes, what the supply still gives, what must stay in it.

    `ascent_scf` is what everyone breathes from leaving the bottom to the surface, by the ascent and the
    moment that the rung ends, None where nothing ends it; where it is not known it returns None. `usable_scf`
    was left at `as_of`, and `bottom_scfm` of it goes every minute until the bottom is left; None: not known.
    """

    ascent_scf: Callable[[Ascent, datetime | None], float | None]
    usable_scf: float | None
    as_of: datetime
    bottom_scfm: float
    reserve_scf: float


@dataclass(frozen=True)
class Rung:
    """One row: leave the bottom by `leave_by`, be at the surface at `surface_at`.

    `left_s` until then is rounded down, and negative once it has passed; None, like the two moments, where
    nothing ends the row. `air_scf` is rounded up, `spare_scf` down: what the supply has over the ascent, the
    time until then and the reserve. `covers` is None where the air is not known.
    """

    schedule: Schedule
    gas: Gas
    in_force: bool
    leave_by: datetime | None
    left_s: int | None
    ascent: Ascent
    surface_at: datetime | None
    air_scf: int | None
    spare_scf: int | None
    covers: bool | None

    @property
    def exceptional(self) -> bool:
        """Whether the row is an exceptional exposure on the gas of the ascent."""
        return self.schedule.exceptional_on(self.gas)


@dataclass(frozen=True)
class Ladder:
    """The rungs, the one in force first; `after` says why there is no further one, None without a limit."""

    rungs: tuple[Rung, ...]
    after: NoSchedule | None

    def seen_at(self, now: datetime) -> "Ladder":
        """Return the same rungs with what is left of each at another moment."""
        return replace(
            self, rungs=tuple(replace(one, left_s=_left_s(one.leave_by, now)) for one in self.rungs)
        )

    @property
    def in_force(self) -> Rung | None:
        """The rung the diver is on; None without a schedule."""
        return self.rungs[0] if self.rungs else None


def air_climb(tables: Tables, departure: float) -> Climb:
    """Return the ascent on air from one depth."""
    return lambda schedule: ascend(tables, schedule.stops, departure)


def ladder(  # noqa: PLR0913 - what a ladder depends on, each by its name
    tables: Tables,
    depth: float,
    left_surface: datetime,
    now: datetime,
    climb: Climb,
    *,
    added_min: int = 0,
    lengthen: bool = False,
    gas: Gas = "air",
    air: Air | None = None,
) -> Ladder:
    """Return the ladder at a depth for a dive that left the surface then; on deck, pass `now` for both.

    `added_min` goes in front of the bottom time: residual nitrogen time, and minutes of earlier delays. `gas`
    is that of `climb`.
    """
    minutes = max(0, minutes_up(ms_between(left_surface, now))) + added_min
    rungs: list[Rung] = []
    found = select(tables, depth, minutes, lengthen=lengthen)
    while isinstance(found, Schedule):
        holds = found.holds_to_min
        leave_by = None if holds is None else left_surface + timedelta(minutes=holds - added_min)
        rungs.append(_rung(found, leave_by, now, climb(found), air, gas=gas, first=not rungs))
        if holds is None:
            return Ladder(tuple(rungs), None)
        found = select(tables, depth, holds + 1, lengthen=lengthen)
    return Ladder(tuple(rungs), found)


def _rung(  # noqa: PLR0913 - the parts of one line
    schedule: Schedule,
    leave_by: datetime | None,
    now: datetime,
    ascent: Ascent,
    air: Air | None,
    *,
    gas: Gas,
    first: bool,
) -> Rung:
    need = None if air is None else air.ascent_scf(ascent, leave_by)
    spare = None if air is None or need is None else _spare(air, need, leave_by)
    return Rung(
        schedule=schedule,
        gas=gas,
        in_force=first,
        leave_by=leave_by,
        left_s=_left_s(leave_by, now),
        ascent=ascent,
        surface_at=None if leave_by is None else leave_by + ascent.total_s * MS_PER_S * MILLISECOND,
        air_scf=None if need is None else int(up_to(need)),
        spare_scf=None if spare is None else int(down_to(spare)),
        covers=None if spare is None else spare >= 0,
    )


def _left_s(leave_by: datetime | None, now: datetime) -> int | None:
    return None if leave_by is None else seconds_down(ms_between(now, leave_by))


def _spare(air: Air, ascent_scf: float, leave_by: datetime | None) -> float | None:
    """Return the air over: usable, less the bottom until then, less the ascent, less the reserve."""
    if air.usable_scf is None or leave_by is None:
        return None
    until_min = max(timedelta(0), leave_by - air.as_of) / timedelta(minutes=1)
    return air.usable_scf - air.bottom_scfm * until_min - ascent_scf - air.reserve_scf
