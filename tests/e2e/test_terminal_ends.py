"""The console's ends: killed, told to stop, without a terminal; the journal whole, the terminal sane."""

import re
import signal
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from station.console.app import ENDING

if TYPE_CHECKING:
    from tests.e2e.conftest import Start, Terminal

pytestmark = pytest.mark.tmux
STATION = Path(__file__).parents[2] / "demo" / "ossary-dam" / "station.toml"


def opened(start: "Start", folder: Path, *words: str) -> "Terminal":
    terminal = start("open", *words, "--folder", str(folder))
    terminal.wait("BEFORE YOU GO ON")
    terminal.keys("Enter")
    terminal.wait("leave$")
    return terminal


def plan(terminal: "Terminal") -> None:
    terminal.keys("b")
    terminal.wait("A dive to begin")
    terminal.keys("Enter", "Enter")
    terminal.fill("Planned depth", "60", "20", "Look at the gate")
    terminal.wait("TAKEN .*lane 1 planned")
    terminal.keys("n")
    terminal.fill("Draw: Dress", "D-9")
    terminal.wait("TAKEN .*D-9")


def settled(terminal: "Terminal") -> list[str]:
    """Return the screen's body: what is left when the lines with a clock are taken away."""
    terminal.wait(r"\[x\] done +Dress D-9 .*Rua Kessing")
    return terminal.still().splitlines()[7:-3]


def test_a_killed_console_opens_again_with_the_same_board(start: "Start", tmp_path: Path) -> None:
    terminal = opened(start, tmp_path, "--new", "--station", str(STATION))
    plan(terminal)
    before = settled(terminal)
    subprocess.run(["kill", "-9", str(terminal.pid)], check=True)
    assert terminal.code() == 128 + signal.SIGKILL
    again = opened(start, tmp_path)
    assert settled(again) == before


@pytest.mark.parametrize("number", ENDING)
def test_a_signal_leaves_the_terminal_sane(start: "Start", tmp_path: Path, number: signal.Signals) -> None:
    terminal = opened(start, tmp_path, "--new", "--station", str(STATION))
    subprocess.run(["kill", f"-{number.value}", str(terminal.pid)], check=True)
    assert terminal.code() == 128 + number
    settings = terminal.until(terminal.settings, "no settings of the terminal")
    assert " echo " in settings.replace("\n", " ")
    assert " icanon " in settings.replace("\n", " ")
    flags = terminal.tmux("display", "-p", "#{alternate_on} #{mouse_any_flag} #{cursor_flag}")
    assert flags.split() == ["0", "0", "1"]


def test_two_consoles_show_one_another_their_entries_and_open_again_as_they_were(
    start: "Start", tmp_path: Path
) -> None:
    """Two windows, each at its seat; then both are killed at once."""
    seats = ("tender", "supervisor")
    first = opened(start, tmp_path, "--new", "--station", str(STATION), "--seat", seats[0])
    second = opened(start, tmp_path, "--seat", seats[1])
    plan(first)
    second.wait(r"\[ 1 Jona Strand")
    second.keys("w")
    second.fill("Note at", "The gate hums")
    second.wait("TAKEN .*note made")
    second.keys("F5")
    second.wait("D-9[^\\0]*The gate hums")
    first.keys("F5")
    first.wait("D-9[^\\0]*The gate hums")
    before = entries(first)
    second.until(lambda: entries(second) == before, "the other screen shows other entries")
    subprocess.run(["kill", "-9", str(first.pid), str(second.pid)], check=True)
    assert [first.code(), second.code()] == [128 + signal.SIGKILL] * 2
    again = [opened(start, tmp_path, "--seat", seat) for seat in seats]
    for terminal in again:
        reads_again(terminal, before)


def reads_again(terminal: "Terminal", before: list[str]) -> None:
    terminal.keys("F5")
    terminal.until(lambda: entries(terminal) == before, f"not again: {before}")


def entries(terminal: "Terminal") -> list[str]:
    """Return the lines of the journal that are on the screen, without the bar beside them."""
    lines = (re.sub("[▁-█]", "", line).strip() for line in terminal.still().splitlines())
    return [line for line in lines if re.match(r"\d+ \d\d:\d\d:\d\d ", line)]


def test_nothing_of_a_terminal_is_left_running(start: "Start") -> None:
    """What ignores the end of its terminal is ended all the same."""
    deaf = "import signal, time; signal.signal(signal.SIGHUP, signal.SIG_IGN); print('deaf'); time.sleep(600)"
    terminal = start(argv=[sys.executable, "-c", deaf])
    terminal.wait("deaf")
    assert terminal.pid in terminal.running()
    terminal.end()
    assert not terminal.running()


def test_without_a_terminal_it_says_so() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "station", "open"],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stdout) == (9, "")
    assert "no terminal" in done.stderr
    assert len(done.stderr.splitlines()) == 1
