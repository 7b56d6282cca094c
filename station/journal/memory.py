"""A journal in memory: for tests, and for a drill that is to leave no trace. Nothing in it is durable."""

import threading

from station.errors import HeadMoved, JournalError
from station.events import Event
from station.files import digest
from station.journal.chain import GENESIS
from station.journal.entries import sealed
from station.journal.interface import Entry
from station.journal.sentences import gone, moved, unattached

SOURCE = "journal in memory"


class Store:
    """What all seats on one journal in memory share."""

    def __init__(self) -> None:
        self.lock = threading.Lock()
        self.entries: list[Entry] = []
        self.attachments: dict[str, bytes] = {}
        self.writes = 0


class MemoryJournal:
    """Twin of the journal in a file; a second one on the same store is a second seat."""

    def __init__(self, store: Store | None = None) -> None:
        self._store = store or Store()
        self._own_writes = 0
        self._seen_writes: int | None = None

    def append(self, event: Event, expected_head: int) -> Entry:
        """See Journal."""
        with self._store.lock:
            seq, last = self.head()
            if seq != expected_head:
                self._seen_writes = None
                raise HeadMoved(moved(SOURCE, expected_head, seq))
            entry = sealed(SOURCE, seq + 1, event, last)
            self._store.entries.append(entry)
            self._wrote()
        return entry

    def read(self, after: int = 0) -> list[Entry]:
        """See Journal."""
        if not 0 <= after <= len(self._store.entries):
            raise JournalError(gone(SOURCE, after))
        return self._store.entries[after:]

    def head(self) -> tuple[int, bytes]:
        """See Journal."""
        entries = self._store.entries
        return (entries[-1].seq, entries[-1].hash) if entries else (0, GENESIS)

    def changed(self) -> bool:
        """See Journal."""
        others = self._store.writes - self._own_writes
        fresh, self._seen_writes = others != self._seen_writes, others
        return fresh

    def attach(self, name: str, data: bytes) -> str:  # noqa: ARG002 - names matter to who opens the file
        """See Journal."""
        sha256 = digest(data)
        with self._store.lock:
            if sha256 not in self._store.attachments:
                self._store.attachments[sha256] = bytes(data)
                self._wrote()
        return sha256

    def attachment(self, sha256: str) -> bytes:
        """See Journal."""
        try:
            return self._store.attachments[sha256]
        except KeyError:
            raise JournalError(unattached(SOURCE, sha256)) from None

    def close(self) -> None:
        """See Journal."""

    def _wrote(self) -> None:
        self._store.writes += 1
        self._own_writes += 1
