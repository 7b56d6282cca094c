"""Every benchmark can still be run, and prints its ratios; what they are is for people to judge."""

import subprocess
import sys
from pathlib import Path
from tempfile import gettempdir

import pytest

HERE = Path(__file__).parent
ROOT = HERE.parent.parent
SHARED = {"dives.py", "empty_app.py", "live_station.py", "terminal.py", "timing.py"}
QUICK: dict[str, list[str]] = {
    "live_figures.py": ["8"],
    "journal_append.py": [gettempdir(), "40"],
}
"""The quick ones, with words that make their runs shorter still."""
LONG: dict[str, list[str]] = {
    "shelf_of_records.py": ["100"],
    "console_keys.py": ["1"],
    "console_load.py": ["4"],
    "journal_lines.py": ["1000"],
    "long_journal.py": [],
    "start_up.py": ["3"],
    "two_consoles.py": ["1"],
    "year_of_dives.py": ["50"],
}
"""The long ones, with the words that make their runs here short."""


def test_no_benchmark_is_left_out() -> None:
    scripts = {path.name for path in HERE.glob("*.py") if not path.name.startswith("test_")}
    assert scripts == {*QUICK, *LONG, *SHARED}


@pytest.mark.parametrize(
    ("name", "words"),
    [*QUICK.items(), *(pytest.param(*one, marks=pytest.mark.soak) for one in LONG.items())],
)
def test_it_runs(name: str, words: list[str]) -> None:
    command = [sys.executable, str(HERE / name), *words]
    run = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert (run.returncode, run.stderr) == (0, "")
    assert " ms   " in run.stdout
