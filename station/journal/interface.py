"""What the station needs of a journal, whatever keeps it: a file today, a server where one is wanted."""

from dataclasses import dataclass
from typing import Protocol

from station.events import Event


@dataclass(frozen=True)
class Entry:
    """One event in its place in the chain."""

    seq: int
    """Place in the journal, counted from 1 without gaps."""
    event: Event
    """The event as read back from `body`, so that a reopened journal gives the very same one."""
    body: str
    """The event as one line of JSON, the text the chain covers."""
    hash: bytes
    """`station.journal.chain.link` of the entry before and this body."""


class Journal(Protocol):
    """Append-only, chained entries of one operation; may be used from several threads.

    Every method raises JournalError for what is wrong with the journal itself and StorageError for what is
    wrong with the place it is kept in. After either the journal stays usable, and nothing is half written.
    """

    def append(self, event: Event, expected_head: int) -> Entry:
        """Put the event behind entry `expected_head` (0: the first); return once it is durable.

        Raises:
            HeadMoved: another process appended first; read on, check again, try again.
        """

    def read(self, after: int = 0) -> list[Entry]:
        """Return every entry behind number `after`, checked against the chain.

        Raises:
            JournalError: the chain is broken, an entry cannot be read, or entry `after` is not there.
        """

    def head(self) -> tuple[int, bytes]:
        """Return number and hash of the last entry; 0 and 32 zero bytes before the first."""

    def changed(self) -> bool:
        """Return whether there may be something new to read; made for polling.

        True when another process wrote since the last call, on the first call, and after a HeadMoved or a
        read that failed, so that nothing unread is ever taken for known.
        """

    def attach(self, name: str, data: bytes) -> str:
        """Keep a file's bytes with the journal; return their SHA-256 in hex. The same bytes are kept once."""

    def attachment(self, sha256: str) -> bytes:
        """Return the bytes kept under a digest.

        Raises:
            JournalError: none are kept under it, or they no longer match it.
        """

    def close(self) -> None:
        """Let go of the journal; closing twice does no harm."""
