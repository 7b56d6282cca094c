"""A terminal of one's own for a test: the program in tmux, its screen as text, its keys by name."""

import os
import re
import shlex
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import ExitStack, suppress
from pathlib import Path
from typing import TypeVar

import pytest

T = TypeVar("T")
PATIENCE_S = 30.0
"""How long a test waits for what a busy machine is slow to bring; an idle one takes no tenth of it."""
PAINT_S = 0.02
"""What lies between two looks: far more than a terminal takes to paint what it was sent."""


class Terminal:
    """One program in one tmux server with a socket of its own. Waits for text, never for time.

    `group` is the process group of all that runs in it, `pid` the program's own number.
    """

    def __init__(
        self, argv: Sequence[str], size: tuple[int, int] = (80, 24), env: Mapping[str, str] | None = None
    ) -> None:
        self.dir = Path(tempfile.mkdtemp())
        self._code, pid = self.dir / "code", self.dir / "pid"
        own = {"TERM": "xterm-256color", "LC_ALL": "C.UTF-8", **(env or {})}
        inner = f"echo $$ > {pid}; exec env {shlex.join([*(f'{k}={v}' for k, v in own.items()), *argv])}"
        outer = f"sh -c {shlex.quote(inner)}; echo $? > {self._code}.part; mv {self._code}.part {self._code}"
        (self.dir / "conf").write_text("set -g status off\nset -s escape-time 0\nset -g remain-on-exit on\n")
        unwanted = ("TMUX", "TMUX_PANE", "COLUMNS", "LINES", "NO_COLOR", "STATION_FOLDER")
        base = {key: value for key, value in os.environ.items() if key not in unwanted}
        start = ["tmux", "-S", f"{self.dir}/socket", "-f", f"{self.dir}/conf", "new", "-d"]
        # The shell stays, so that what is left on the screen can be read after the program has ended.
        stays = f"{outer}; stty -a > {self.dir}/stty; exec sh"
        self.group = 0
        try:
            told = ["-P", "-F", "#{pane_pid}", "-x", str(size[0]), "-y", str(size[1])]
            self.group = int(subprocess.check_output([*start, *told, stays], env=base))
            self.pid = int(self.until(lambda: pid.exists() and pid.read_text().strip(), "no pid"))
        except BaseException:
            self.end()
            raise

    def tmux(self, *words: str) -> str:
        """Give tmux a command and return what it says."""
        done = subprocess.run(
            ["tmux", "-S", self.dir / "socket", *words], check=True, capture_output=True, text=True
        )
        return done.stdout

    def until(self, found: Callable[[], T], what: str) -> T:
        """Wait until something is found and return it."""
        end = time.monotonic() + PATIENCE_S
        while not (result := found()):
            if time.monotonic() > end:
                raise AssertionError(f"{what} within {PATIENCE_S} s\n{self.screen()}")
            time.sleep(0.01)
        return result

    def settings(self) -> str:
        """Return the settings in which the program left the terminal, "" before its end."""
        path = self.dir / "stty"
        return path.read_text(encoding="utf-8") if path.exists() else ""

    def screen(self) -> str:
        """Return what stands on the screen."""
        return self.tmux("capture-pane", "-p")

    def still(self) -> str:
        """Return the screen once it is painted to its end: it is the same in two looks, one after another."""

        def found() -> str:
            before = self.screen()
            time.sleep(PAINT_S)
            return before if before.strip() and before == self.screen() else ""

        return self.until(found, "no screen that stands still")

    def keys(self, *names: str) -> None:
        """Press keys by tmux's names."""
        self.tmux("send-keys", *names)

    def type(self, words: str) -> None:
        """Type words letter by letter."""
        self.tmux("send-keys", "-l", "--", words)

    def wait(self, pattern: str) -> str:
        """Wait until the screen holds a pattern and return the screen."""

        def found() -> str:
            screen = self.screen()
            return screen if re.search(pattern, screen, re.MULTILINE) else ""

        return self.until(found, f"no /{pattern}/")

    def code(self) -> int:
        """Wait for the program's end and return its exit code."""
        return int(self.until(lambda: self._code.exists() and self._code.read_text(), "still running"))

    def fill(self, title: str, *words: str) -> None:
        """Wait for a dialog and fill it in, line by line."""
        self.wait(title)
        for word in words:
            if word:
                self.type(word)
            self.keys("Enter")

    def running(self) -> list[int]:
        """Return the processes in it, those left out that have ended and only wait to be asked for it."""
        listed = subprocess.check_output(["ps", "-A", "-o", "pgid=,pid=,stat="], text=True)
        parts = (line.split() for line in listed.splitlines())
        return [int(pid) for group, pid, stat in parts if int(group) == self.group and stat[0] != "Z"]

    def end(self) -> None:
        """Stop the terminal and all that runs in it, and wait until nothing of it does."""
        subprocess.run(["tmux", "-S", self.dir / "socket", "kill-server"], check=False, capture_output=True)
        end = time.monotonic() + PATIENCE_S
        while left := self.running():
            # Whoever does not go with the terminal is ended here: no test may leave a process to the next.
            with suppress(ProcessLookupError):
                os.killpg(self.group, signal.SIGKILL)
            if time.monotonic() > end:
                raise AssertionError(f"still running: {left}")
            time.sleep(0.01)
        shutil.rmtree(self.dir, ignore_errors=True)


Start = Callable[..., Terminal]


@pytest.fixture
def start() -> Iterator[Start]:
    """Return what starts the program's own command in a terminal; every terminal is gone after the test."""
    if shutil.which("tmux") is None:
        pytest.skip("tmux is not installed")
    with ExitStack() as opened:

        def run(
            *words: str,
            argv: Sequence[str] = (sys.executable, "-m", "station"),
            size: tuple[int, int] = (80, 24),
            env: Mapping[str, str] | None = None,
        ) -> Terminal:
            terminal = Terminal([*argv, *words], size, env)
            opened.callback(terminal.end)
            return terminal

        yield run
