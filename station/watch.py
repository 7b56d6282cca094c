"""The one door for entries: check against the board, append to the journal, fold, tell the seats.

An entry that `enter` returns is on the disk. A refusal changes nothing. Several processes may keep watch
over one journal: each appends on the head it knows, and when another was first it reads on, checks the
entry again against the newer board, and tries again. A watch belongs to one thread.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from station.board.admit import admit
from station.board.alarm_log import changes
from station.board.alarms import Alarm
from station.board.fold import fold, follow
from station.board.state import Board
from station.clock import Clock, JumpWatch
from station.errors import HeadMoved, JournalError, Refusal, StorageError
from station.events import AlarmCleared, AlarmRaised, ClockJumped, Event, Seat, stamp
from station.journal.interface import Entry, Journal
from station.setup import Setup

Listener = Callable[[Sequence[Entry]], None]
SYSTEM = "console"
"""Who is named as author of entries that no person makes: openings, anchors, clock jumps, alarms."""
UNWRITTEN = "journal not writable"
"""The key of the one alarm that the journal cannot be told of while it stands."""
LONGEST = 2000
"""Letters that the words of an entry may have."""
AGAIN = timedelta(seconds=5)
"""How long the alarms wait for a journal that cannot be written before they try it again; station choice."""


@dataclass(frozen=True)
class Unwritten:
    """Since when the journal cannot be written, and why."""

    since: datetime
    why: str

    @property
    def alarm(self) -> Alarm:
        """Return it as an alarm: the cause first, as a narrow screen cuts off the end, and the file last."""
        file, apart, cause = self.why.partition(": ")
        why = f"{cause} ({file})" if apart else self.why
        return Alarm("high", UNWRITTEN, _shown(f"the journal cannot be written: {why}"))


def _shown(words: str) -> str:
    """Return words as an entry takes them: no noting of an alarm may fail for a letter in a name."""
    return "".join(one if one.isprintable() else "?" for one in words)[:LONGEST]


class Watch:
    """Keeps the board of one journal up to date and takes entries for it."""

    def __init__(self, journal: Journal, setup: Setup, clock: Clock) -> None:
        self.journal = journal
        self.clock = clock
        self.entries: list[Entry] = journal.read()
        self.board: Board = fold(setup, [entry.event for entry in self.entries])
        self.own: set[int] = set()
        """The numbers of the entries that were made through this watch, and not by another process."""
        self._jumps = JumpWatch(clock)
        self._jump: timedelta | None = None
        self._listeners: list[Listener] = []
        self._again: datetime | None = None
        self.unwritten: Unwritten | None = None

    @property
    def head(self) -> int:
        """Return the number of the last entry known here, 0 for none."""
        return self.entries[-1].seq if self.entries else 0

    def listen(self, listener: Listener) -> None:
        """Call `listener` with every batch of new entries, from here and from other seats.

        It is called when the board has them already, and must not raise: the entries are durable.
        """
        self._listeners.append(listener)

    def stamp(self, by: str, seat: Seat, at: datetime | None = None) -> dict[str, Any]:
        """Return the fields every event needs; `at` is the time of the key press, now if not given."""
        now = self.clock.now()
        return stamp(at or now, by, seat, entered=now)

    def check(self, event: Event) -> None:
        """Raise Refusal when an event would be refused now; nothing is entered."""
        admit(self.board, event, self.clock.now())

    def enter(self, event: Event) -> Entry:
        """Take an entry: durable once this returns.

        Raises:
            Refusal: the rules say no; nothing was changed.
            StorageError, JournalError: it could not be written; nothing was changed.

        """
        while True:
            self.check(event)
            try:
                entry = self.journal.append(event, expected_head=self.head)
            except HeadMoved:
                self.poll()
            except (StorageError, JournalError) as error:
                self._could_not_write(error.message)
                raise
            else:
                self.own.add(entry.seq)
                self._take([entry])
                return entry

    def poll(self) -> list[Entry]:
        """Take in what other processes have entered since, and return it."""
        new = self.journal.read(after=self.head) if self.journal.changed() else []
        if new:
            self._take(new)
        return new

    def notice_clock(self) -> Entry | None:
        """Put a jump of the machine's wall clock on the journal, once for each jump.

        Every process on the machine notices it; what another has entered is not entered again. A jump that
        could not be written is kept for the next call.
        """
        self._jump = self._jumps.jumped() or self._jump
        if self._jump is None:
            return None
        event = ClockJumped(by_s=self._jump.total_seconds(), **self.stamp(SYSTEM, "console"))
        try:
            entry = self.enter(event)
        except Refusal:
            entry = None
        self._jump = None
        return entry

    def notice_alarms(self, stand: Sequence[Alarm], now: datetime) -> list[Entry]:
        """Put on the journal which of the alarms that stand at a moment are new, and which are over.

        Once, however many seats notice it. A journal that cannot be written stops nobody: `unwritten` says so
        until it can, and is then noted with the time at which it began.
        """
        if self._again is not None and self.clock.now() < self._again:
            return []
        noted: list[Entry] = []
        try:
            for event in self._alarm_events(stand, now):
                noted += self._unless_known(event)
        except (StorageError, JournalError) as error:
            self._could_not_write(error.message)
        else:
            self._again = self.unwritten = None
        return noted

    def _alarm_events(self, stand: Sequence[Alarm], now: datetime) -> Iterator[Event]:
        """Yield what is to be entered; each against the board as it stands after the one before."""
        system = self.stamp(SYSTEM, "console", at=now)
        failed = self.unwritten
        if failed is not None and not self._told_elsewhere(failed):
            at = self.stamp(SYSTEM, "console", at=failed.since)
            yield AlarmRaised(key=UNWRITTEN, priority="high", words=failed.alarm.words, **at)
        found = changes(self.board, stand, now)
        for lane, key in found.cleared:
            yield AlarmCleared(lane=lane, key=key, **system)
        for one in found.raised:
            yield AlarmRaised(
                lane=one.lane, key=one.key, priority=one.priority, words=_shown(one.words), **system
            )

    def _told_elsewhere(self, failed: Unwritten) -> bool:
        """Whether another seat has noted, since this one failed, that nothing could be written."""
        known = self.board.alarms.get((None, UNWRITTEN))
        return known is not None and (known.cleared_at is None or known.cleared_at >= failed.since)

    def _unless_known(self, event: Event) -> list[Entry]:
        """Enter an event; nothing when another seat has entered it."""
        try:
            return [self.enter(event)]
        except Refusal:
            return []

    def _could_not_write(self, why: str) -> None:
        now = self.clock.now()
        self.unwritten = Unwritten(self.unwritten.since if self.unwritten else now, why)
        self._again = now + AGAIN

    def _take(self, entries: list[Entry]) -> None:
        self.entries.extend(entries)
        for entry in entries:
            self.board = follow(self.board, entry.event)
        for listener in self._listeners:
            listener(entries)
