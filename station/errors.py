"""Every error the program raises on purpose, and the exit code each one ends a command with.

    StationError                what happened, where, what to do
    |-- UsageError          2   the words of a command are off
    |-- FileError           3   a configuration, table, outfit or scenario file does not pass its checks
    |-- LookUpError         3   a table holds no figure for what was asked
    |-- JournalError        4   a journal is foreign, corrupt or cannot be read
    |   `-- HeadMoved       4   another seat appended first; the watch re-reads and tries again
    |-- Refusal             5   an entry is not allowed now; nothing was changed
    |-- RecordError         6   a record is not sound
    |-- KeyFileError        7   a signing key is missing, locked or of the wrong kind
    |   `-- AgentError      7   an ssh-agent does not sign:
    |       |-- NoAgent     7   none is named, or nothing answers
    |       |-- AgentRefused 7  it is locked, or its owner said no
    |       |-- KeyNotHeld  7   it does not hold the key
    |       |-- AgentSilent 7   it does not answer in time
    |       `-- AgentGarbled 7  its answer is none that agents give
    |-- StorageError        8   the disk is full, read-only or out of reach
    |-- TerminalError       9   no terminal, or no package for the browser
    `-- DrillMismatch      10   a drill did not end as its scenario says it must

Exit code 0 is success, 1 an error nobody foresaw, 130 an interrupt from the keyboard.
"""

from collections.abc import Sequence
from typing import ClassVar


class StationError(Exception):
    """Base of all: `str(error)` is one clear sentence fit to be shown to a user."""

    exit_code: ClassVar[int] = 1
    title: ClassVar[str] = "Error"

    def __init__(self, message: str) -> None:
        super().__init__(message)
        self.message = message


class UsageError(StationError):
    """The words of a command are off."""

    exit_code = 2
    title = "Command"


class FileError(StationError):
    """A file does not pass its checks; lists every problem found, not just the first."""

    exit_code = 3
    title = "File"

    def __init__(self, path: str, problems: Sequence[tuple[str, str]]) -> None:
        """Take the file's path and its problems as pairs (key, reason); key is "" for the whole file."""
        self.path = path
        self.problems = tuple(problems)
        super().__init__(
            "\n".join(f"{path}: {key}: {why}" if key else f"{path}: {why}" for key, why in problems)
        )


class LookUpError(StationError):
    """A published table holds no figure for what was asked."""

    exit_code = 3
    title = "Table"


class JournalError(StationError):
    """A journal is foreign, corrupt or cannot be read."""

    exit_code = 4
    title = "Journal"


class HeadMoved(JournalError):  # noqa: N818 - not a fault: the outcome of a race, handled by the watch
    """Another process appended first."""


class Refusal(StationError):  # noqa: N818 - the trade's word for what it is: the console refuses a mark
    """An entry is not allowed now. Says what is missing; nothing was changed."""

    exit_code = 5
    title = "Refused"

    def __init__(self, message: str, missing: Sequence[str] = ()) -> None:
        """Take one sentence and the list of what is still open, in the trade's words."""
        super().__init__(message)
        self.missing = tuple(missing)


class RecordError(StationError):
    """A record is not sound."""

    exit_code = 6
    title = "Record"


class KeyFileError(StationError):
    """A signing key is missing, locked or of the wrong kind."""

    exit_code = 7
    title = "Key"


class AgentError(KeyFileError):
    """An ssh-agent does not sign; each way has its own kind below."""


class NoAgent(AgentError):  # noqa: N818 - named for the outcome
    """None is named, or nothing answers at its socket."""


class AgentRefused(AgentError):  # noqa: N818 - named for the outcome
    """It is locked, or its owner said no."""


class KeyNotHeld(AgentError):  # noqa: N818 - named for the outcome
    """It does not hold the key."""


class AgentSilent(AgentError):  # noqa: N818 - named for the outcome
    """It does not answer in time."""


class AgentGarbled(AgentError):  # noqa: N818 - named for the outcome
    """Its answer is none that agents give."""


class StorageError(StationError):
    """The disk is full, read-only or out of reach."""

    exit_code = 8
    title = "Storage"


class TerminalError(StationError):
    """No terminal, or for the browser no package that serves it."""

    exit_code = 9
    title = "Terminal"


class DrillMismatch(StationError):  # noqa: N818 - named for the outcome
    """A drill did not end as its scenario says it must."""

    exit_code = 10
    title = "Drill"
