"""With NO_COLOR set no colour reaches the terminal, and what matters stands out all the same."""

import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from tests.e2e.conftest import Start, Terminal

pytestmark = pytest.mark.tmux
STATION = Path(__file__).parents[2] / "demo" / "ossary-dam" / "station.toml"
LETTERS = re.compile(rb"\x1b\[([0-9;:]*)m")
OTHER = re.compile(rb"\x1b\[[0-?]*[ -/]*[@-~]")
COLOURS = re.compile(rb"\x1b\](?:4|1[0-9]);(?!\?)")
"""A terminal's palette set anew: xterm control sequences, OSC 4 and 10 to 19."""
PLAIN = {0, 1, 2, 3, 4, 7, 22, 23, 24, 27, 39, 49}
"""No colour: bold, dim, italic, underlined, reversed, the ends of these, and 39 and 49, the terminal's own
ink and paper. ECMA-48, 5th edition, 8.3.117 (SGR)."""


def attributes(sent: bytes) -> set[int]:
    """Return every parameter by which letters were made to look so."""
    return {int(one or 0) for found in LETTERS.findall(sent) for one in re.split(b"[;:]", found)}


def test_a_colour_would_be_found() -> None:
    assert attributes(b"\x1b[1;38;5;16mx\x1b[m\x1b[41my") - PLAIN == {38, 5, 16, 41}
    assert COLOURS.search(b"\x1b]11;#000000\x07")
    assert not COLOURS.search(b"\x1b]11;?\x07")


def in_hand(terminal: "Terminal") -> list[str]:
    """Return the rows of the order that are underlined."""
    rows = (line for line in terminal.tmux("capture-pane", "-pe").splitlines() if "[ ] NEXT" in line)
    return [
        OTHER.sub(b"", row.encode()).decode().strip() for row in rows if re.search(r"\x1b\[(?:\d+;)*4m", row)
    ]


def seats_and_dialogs(terminal: "Terminal") -> None:
    """Show a dialog with fields, one with a list, each seat, pages, the keys."""
    terminal.keys("b")
    terminal.wait("A dive to begin")
    terminal.keys("Enter", "Enter")
    terminal.fill("Planned depth", "60", "20", "Look at the gate")
    terminal.wait("^ ! LOW [^\\0]*NEXT: Dress[^\\0]*TAKEN .*lane 1 planned")
    for key, there in (("F3", "SCHEDULE"), ("F4", "LADDER"), ("F5", "planned for"), ("F2", "NEXT: Dress")):
        terminal.keys(key)
        terminal.wait(there)
    terminal.keys("v")
    terminal.wait("Voice check")
    terminal.keys("Escape")
    terminal.wait("leave$")


def test_no_colour_is_sent_and_the_row_in_hand_stands_out(start: "Start", tmp_path: Path) -> None:
    sent = tmp_path / "sent"
    terminal = start(
        "open", "--new", "--station", str(STATION), "--folder", str(tmp_path), env={"NO_COLOR": "1"}
    )
    terminal.tmux("pipe-pane", f"cat > {sent}")
    terminal.wait("BEFORE YOU GO ON")
    terminal.keys("Enter")
    terminal.wait("leave$")
    seats_and_dialogs(terminal)
    terminal.until(lambda: in_hand(terminal) == ["[ ] NEXT   Dress"], "the first row does not stand out")
    terminal.keys("Down")
    terminal.until(lambda: in_hand(terminal) == ["[ ] NEXT   Helmet"], "the second row does not stand out")
    terminal.keys("F1")
    terminal.wait("KEYS AND WHAT STANDS HERE")
    terminal.until(lambda: b"KEYS AND WHAT STANDS HERE" in OTHER.sub(b"", sent.read_bytes()), "not sent")
    data = sent.read_bytes()
    assert attributes(data) <= PLAIN
    assert {1, 7} <= attributes(data)
    assert not COLOURS.search(data)
