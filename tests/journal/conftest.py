"""What the tests of journals share: a note, the opening entry, a small journal on the disk."""

from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from station.events import FileUse, NoteMade, OperationOpened, stamp
from station.journal.store import SqliteJournal

NOON = datetime(2031, 5, 4, 12, 0, tzinfo=UTC)


def note(text: str) -> NoteMade:
    return NoteMade(text=text, **stamp(NOON, "mira-holt", "supervisor"))


def opening(*files: FileUse) -> OperationOpened:
    return OperationOpened(
        title="Weir gate",
        station="Ostrel",
        place="Ostrel weir",
        drill=False,
        program="0.1.0",
        files=files,
        **stamp(NOON, "mira-holt", "supervisor"),
    )


def written(path: Path, notes: int = 0) -> Path:
    """Return a new journal that holds its opening and so many notes."""
    with closing(SqliteJournal.create(path)) as journal:
        journal.append(opening(), 0)
        for seq in range(1, notes + 1):
            journal.append(note(f"note {seq}"), seq)
    return path


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Return a journal that holds its opening."""
    return written(tmp_path / "weir.journal")
