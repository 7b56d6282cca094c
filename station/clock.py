"""The one clock: UTC wall time carried by a counter that goes on while the machine sleeps.

The wall clock of a machine may be set forward or back under a running dive. So the station reads it
once, writes the reading down as an *anchor*, and from then on only counts. All processes of one machine
share the anchor through the journal and therefore show the same second. A wall clock that no longer
agrees with the count has jumped; the station says so and goes on counting.
"""

import time
import uuid
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from typing import Protocol

from station.moments import MILLISECOND, from_ms

NS_PER_MS = 1_000_000
JUMP_LIMIT = timedelta(seconds=1)
"""A wall clock may drift or be slewed by less than this without being called a jump."""


class Clock(Protocol):
    """What the station needs of a clock. `now` never goes back."""

    def now(self) -> datetime:
        """Return the present moment in UTC, to the millisecond."""

    def ago(self, seconds: float) -> datetime:
        """Return what it showed so many seconds of the day ago, 0 or more; never before it was last set."""

    def drift(self) -> timedelta:
        """Return how far the machine's wall clock stands ahead of the station's time."""


class Source(Protocol):
    """Where a clock takes its readings."""

    def wall_ns(self) -> int:
        """Return the machine's idea of UTC, in nanoseconds since 1970."""

    def counter_ns(self) -> int:
        """Return a counter in nanoseconds that never goes back and goes on in sleep."""


class SystemSource:
    """The machine's own clocks."""

    def wall_ns(self) -> int:
        """Return the wall clock."""
        return time.time_ns()

    def counter_ns(self) -> int:
        """Return the boot-time counter; the monotonic one where a system has none."""
        return time.clock_gettime_ns(getattr(time, "CLOCK_BOOTTIME", time.CLOCK_MONOTONIC))


@dataclass(frozen=True)
class Anchor:
    """One reading of both clocks, valid for one run of one machine."""

    boot: str
    wall_ms: int
    counter_ns: int


def boot_id() -> str:
    """Return what tells this run of this machine from any other; a fresh one where none can be read."""
    try:
        return Path("/proc/sys/kernel/random/boot_id").read_text(encoding="ascii").strip()
    except OSError:
        return uuid.uuid4().hex


class AnchoredClock:
    """Station time: the anchor's wall time plus what the counter has gone on since."""

    def __init__(self, anchor: Anchor, source: Source | None = None) -> None:
        self.anchor = anchor
        self._source: Source = source or SystemSource()

    @classmethod
    def started(cls, source: Source | None = None, not_before: datetime | None = None) -> "AnchoredClock":
        """Anchor a new clock here and now, but never before the last moment already on a journal."""
        used = source or SystemSource()
        wall_ms = used.wall_ns() // NS_PER_MS
        if not_before is not None:
            wall_ms = max(wall_ms, (not_before - from_ms(0)) // MILLISECOND)
        return cls(Anchor(boot_id(), wall_ms, used.counter_ns()), used)

    def now(self) -> datetime:
        """Return station time."""
        return from_ms(
            self.anchor.wall_ms + (self._source.counter_ns() - self.anchor.counter_ns) // NS_PER_MS
        )

    def ago(self, seconds: float) -> datetime:
        """Return station time of then."""
        return self.now() - round(seconds * 1000) * MILLISECOND

    def drift(self) -> timedelta:
        """Return wall time minus station time."""
        return from_ms(self._source.wall_ns() // NS_PER_MS) - self.now()


class JumpWatch:
    """Notices each jump of the wall clock once."""

    def __init__(self, clock: Clock) -> None:
        self._clock = clock
        self._known = clock.drift()

    def jumped(self) -> timedelta | None:
        """Return how far the wall clock has jumped since the last call, None when it has not."""
        drift = self._clock.drift()
        moved = drift - self._known
        if abs(moved) < JUMP_LIMIT:
            return None
        self._known = drift
        return moved


class DrillClock:
    """A clock for drills: starts at a given moment, runs at a chosen rate of 0 or more, can stand still."""

    def __init__(self, start: datetime, rate: float = 1.0, source: Source | None = None) -> None:
        self._source: Source = source or SystemSource()
        self._base = start
        self._mark_ns = self._source.counter_ns()
        self._rate = _forward(rate)

    def now(self) -> datetime:
        """Return drill time."""
        passed_ms = int((self._source.counter_ns() - self._mark_ns) * self._rate) // NS_PER_MS
        return self._base + passed_ms * MILLISECOND

    def ago(self, seconds: float) -> datetime:
        """Return drill time of then; the moment it was last set to where that was since."""
        return max(self._base, self.now() - int(seconds * self._rate * 1000) * MILLISECOND)

    def drift(self) -> timedelta:
        """Return zero: a drill has no wall clock to disagree with."""
        return timedelta(0)

    @property
    def rate(self) -> float:
        """How many drill seconds pass in a second; 0 stands still."""
        return self._rate

    def set_rate(self, rate: float) -> None:
        """Go on from now at another rate; ValueError for one below 0."""
        self._rate, self._base = _forward(rate), self.now()
        self._mark_ns = self._source.counter_ns()

    def jump_to(self, moment: datetime) -> None:
        """Skip forward to a moment; an earlier one is ignored, the clock never goes back."""
        if moment > self.now():
            self._base = moment
            self._mark_ns = self._source.counter_ns()


def _forward(rate: float) -> float:
    if not 0 <= rate < float("inf"):
        raise ValueError("the rate of a drill is a number of 0 or more")
    return rate


@dataclass
class HandClock:
    """A clock set by hand, for tests and for drills that run as fast as they can."""

    moment: datetime
    wall_offset: timedelta = field(default_factory=timedelta)

    def now(self) -> datetime:
        """Return the moment it was set to."""
        return self.moment

    def ago(self, seconds: float) -> datetime:
        """Return the moment that lies so far back: seconds by hand count as those of the day."""
        return self.moment - round(seconds * 1000) * MILLISECOND

    def drift(self) -> timedelta:
        """Return the offset it was given."""
        return self.wall_offset

    def advance(self, seconds: float) -> None:
        """Go on by that many seconds."""
        self.moment += timedelta(milliseconds=round(seconds * 1000))

    def jump_to(self, moment: datetime) -> None:
        """Go on to a moment; an earlier one is ignored."""
        self.moment = max(self.moment, moment)
