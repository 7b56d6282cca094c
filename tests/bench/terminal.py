"""A program in a terminal of its own, without anything between: its keys, its bytes, its processor time."""

import fcntl
import os
import pty
import re
import select
import struct
import sys
import termios
from collections.abc import Sequence
from pathlib import Path
from time import perf_counter
from types import TracebackType
from typing import Self

CODES = re.compile(
    rb"\x1b\[[0-?]*[ -/]*[@-~]|\x1b\][^\x07\x1b]*(?:\x07|\x1b\\)|\x1b[P^_][^\x1b]*\x1b\\|\x1b."
)
PATIENCE_S = 30.0


class Terminal:
    """One program at the far end of a pseudo-terminal; used as a context, ended with it."""

    def __init__(self, argv: Sequence[str], size: tuple[int, int] = (120, 40)) -> None:
        self._pid, self._end = pty.fork()
        if self._pid == 0:  # the child: from here on it is the program
            os.environ.update(TERM="xterm-256color", COLUMNS=str(size[0]), LINES=str(size[1]))
            os.execv(sys.executable, [sys.executable, *argv])  # noqa: S606 - a program of our own, no shell
        fcntl.ioctl(self._end, termios.TIOCSWINSZ, struct.pack("HHHH", size[1], size[0], 0, 0))
        self._data = bytearray()
        self.bytes = 0

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        os.kill(self._pid, 9)
        os.waitpid(self._pid, 0)
        os.close(self._end)

    def run(self, duration_s: float) -> None:
        """Take in what the program writes for so long."""
        end = perf_counter() + duration_s
        while (left := end - perf_counter()) > 0:
            self._read(left)

    def press(self, keys: bytes) -> None:
        """Send keys, and forget what was written before them."""
        self.run(0)
        self._read(0)
        self._data.clear()
        os.write(self._end, keys)

    def until(self, words: bytes) -> float:
        """Return the seconds until the program has written these words, its control codes left out.

        Raises:
            TimeoutError: it did not, with the last of what it wrote.

        """
        begun = perf_counter()
        while words not in CODES.sub(b"", bytes(self._data)):
            if perf_counter() - begun > PATIENCE_S:
                raise TimeoutError(
                    f"{words!r} was not written: {CODES.sub(b'', bytes(self._data))[-2000:]!r}"
                )
            self._read(1.0)
        return perf_counter() - begun

    def processor_s(self) -> float:
        """Return the processor time that all its threads have taken so far."""
        threads = Path(f"/proc/{self._pid}/task").glob("*/schedstat")
        return sum(int(one.read_text(encoding="ascii").split()[0]) for one in threads) / 1e9

    def memory_mb(self) -> float:
        """Return the most memory it has held."""
        status = Path(f"/proc/{self._pid}/status").read_text(encoding="ascii")
        return int(status.partition("VmHWM:")[2].split()[0]) / 1024

    def _read(self, patience_s: float) -> None:
        ready, _, _ = select.select([self._end], [], [], patience_s)
        if ready:
            data = os.read(self._end, 1 << 16)
            self.bytes += len(data)
            self._data += data
