"""A whole dive by keys only, on a real journal and the real clock, from the crew to the signatures."""

import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from tests.e2e.conftest import Start, Terminal

pytestmark = pytest.mark.tmux
PASSPHRASE = "cold water, warm tea"
CREW = (("Ada Brook", "1"), ("Ben Rowe", "2"), ("Cal Wren", "3"), ("Dov Marsh", "3"), ("Eli Stone", "4"))


def set_up(terminal: "Terminal") -> None:
    terminal.wait("BEFORE YOU GO ON")
    terminal.keys("Enter")
    for name, duty in CREW:
        terminal.wait(r"Crew: who is here[^\0]*Name +│")
        terminal.type(name)
        terminal.keys("Enter", duty, "Enter")
        terminal.wait(f"Joined so far:[^\\0]*{name}")
    terminal.keys("Escape")
    terminal.fill("Visibility", "10 ft", "11", "none", "calm, light wind")
    terminal.wait("A dive to begin")
    terminal.keys("Enter", "Enter")
    terminal.fill("Planned depth", "30", "10", "Look at the sill")
    terminal.wait("lane 1 planned for Eli Stone")


def draw(terminal: "Terminal") -> None:
    """Draw the fifteen pieces: own number, the set's stamped number, the day of the belt's test."""
    for number in range(1, 16):
        terminal.keys("n")
        dialog = terminal.wait("Draw: ")
        terminal.type(f"P-{number}")
        terminal.keys("Enter")
        if "stamped on it" in dialog:
            if number == 2:
                terminal.type("27")
            terminal.keys("Enter")
        if "load test" in dialog:
            terminal.fill("load test", today())
        terminal.wait(f"^ TAKEN .*P-{number} ")


def today() -> str:
    """Return the station's own day, so that the test of the belt is in date whenever this runs."""
    return f"{datetime.now(UTC):%Y-%m-%d}"


def work_through(terminal: "Terminal", until: str) -> None:
    """Press the key for the next step until one is next that needs more than a press."""
    while f"NEXT: {until}" not in terminal.screen():
        if not terminal.take("n", dialog="(who has looked[?]|Esc no)"):
            continue
        if "Esc no" in terminal.screen():  # the step was painted a moment after the line read above
            terminal.keys("Escape")
            terminal.gone("Esc no")
            continue
        terminal.keys("Enter")
        terminal.wait("^ TAKEN .*done: ")


def sign(terminal: "Terminal", who: str, status: str) -> None:
    terminal.keys("g")
    terminal.wait("Who signs the record")
    terminal.keys("1")
    terminal.fill(f"New signing key for {who}", PASSPHRASE, PASSPHRASE)
    terminal.wait(f"RECORD[^\\0]*{status}")
    terminal.keys("Enter")


def dress(terminal: "Terminal") -> None:
    work_through(terminal, "Air on to the helmet")
    terminal.keys("F9")
    terminal.wait("REFUSED[^\\0]*the dive cannot begin")
    terminal.keys("Escape")
    terminal.gone("REFUSED")
    work_through(terminal, "Diver reports ready")
    terminal.keys("F8")
    terminal.fill("Pressure read at", "", "150")
    terminal.wait("^ TAKEN .*Manifold 150 psig")
    for question, step in (
        ("Eli Stone, diver, says so", "Diver reports ready - Eli Stone"),
        ("Faceplate closed: who has looked", "Faceplate closed - Cal Wren"),
        ("Ada Brook, supervisor, gives the release", "Ready to dive - Ada Brook"),
    ):
        terminal.keys("n")
        terminal.wait(question)
        terminal.keys("Enter")
        terminal.wait(f"^ TAKEN .*{step}")
    for step in ("under water", "No bubbles", "Telephone once more"):
        terminal.take("n", f"^ TAKEN .*{step}")


def dive(terminal: "Terminal") -> None:
    terminal.take("F9", "^ TAKEN .*left surface - Ben Rowe")
    terminal.wait("BOTTOM TIME")
    terminal.take("F9", "^ TAKEN .*reached bottom")
    terminal.keys("d")
    terminal.fill("Depth read at", "28")
    terminal.wait("READ IT ONCE MORE")  # no diver is so deep in these few seconds
    terminal.keys("IC", "Enter")  # the second Enter of a double press would not count
    terminal.wait("^ TAKEN .*depth read 28 fsw")
    terminal.keys("v")
    terminal.wait("Voice check")
    terminal.keys("1")
    terminal.wait("^ TAKEN .*voice good")
    terminal.take("m", "^ TAKEN .*left bottom")
    terminal.take("F9", "^ TAKEN .*reached surface")
    terminal.wait("SINCE SURFACED")


def leave(terminal: "Terminal") -> None:
    terminal.keys("q")
    terminal.wait("LEAVE THE CONSOLE")
    terminal.keys("Enter")
    assert terminal.code() == 0


def test_a_whole_dive_ends_with_a_signed_record_that_verifies(start: "Start", tmp_path: Path) -> None:
    terminal = start("open", "--new", "--title", "Sill", "--folder", str(tmp_path))
    set_up(terminal)
    draw(terminal)
    dress(terminal)
    dive(terminal)
    for _ in range(7):
        terminal.take("n", "^ TAKEN .*done: ")
    terminal.keys("z")
    terminal.fill("MISSING ON THE RECORD of lane 1: date, time and location", "Outer sill, north bank")
    terminal.fill("Close the dive", "Well", "")
    terminal.wait("^ TAKEN .*lane 1 closed")
    sign(terminal, "Ben Rowe", "not yet signed")
    sign(terminal, "Ada Brook", "sound")
    leave(terminal)
    (record,) = (tmp_path / "records").glob("*.toml")
    verify = subprocess.run(
        [sys.executable, "-m", "station", "record", "verify", str(record)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert (verify.returncode, "sound" in verify.stdout) == (0, True), verify.stdout + verify.stderr
