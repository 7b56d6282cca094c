"""The one door for entries: check against the board, append to the journal, fold, tell the seats.

An entry that `enter` returns is on the disk. A refusal changes nothing. Several processes may keep watch
over one journal: each appends on the head it knows, and when another was first it reads on, checks the
entry again against the newer board, and tries again. A watch belongs to one thread.
"""

from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from typing import Any

from station.board.admit import admit
from station.board.fold import fold, follow
from station.board.state import Board
from station.clock import Clock, JumpWatch
from station.errors import HeadMoved, Refusal
from station.events import ClockJumped, Event, Seat, stamp
from station.journal.interface import Entry, Journal
from station.setup import Setup

Listener = Callable[[Sequence[Entry]], None]
SYSTEM = "console"
"""Who is named as author of entries that no person makes: openings, anchors, jumps of the wall clock."""


class Watch:
    """Keeps the board of one journal up to date and takes entries for it."""

    def __init__(self, journal: Journal, setup: Setup, clock: Clock) -> None:
        self.journal = journal
        self.clock = clock
        self.entries: list[Entry] = journal.read()
        self.board: Board = fold(setup, [entry.event for entry in self.entries])
        self._jumps = JumpWatch(clock)
        self._jump: timedelta | None = None
        self._listeners: list[Listener] = []

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

    def enter(self, event: Event) -> Entry:
        """Take an entry: durable once this returns.

        Raises:
            Refusal: the rules say no; nothing was changed.
            StorageError, JournalError: it could not be written; nothing was changed.

        """
        while True:
            admit(self.board, event, self.clock.now())
            try:
                entry = self.journal.append(event, expected_head=self.head)
            except HeadMoved:
                self.poll()
            else:
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

    def _take(self, entries: list[Entry]) -> None:
        self.entries.extend(entries)
        for entry in entries:
            self.board = follow(self.board, entry.event)
        for listener in self._listeners:
            listener(entries)
