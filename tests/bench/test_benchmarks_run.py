"""Every benchmark can still be run, and prints its ratios; what they are is for people to judge."""

import subprocess
import sys
from pathlib import Path

import pytest

HERE = Path(__file__).parent
ROOT = HERE.parent.parent
SHARED = {"dives.py", "empty_app.py", "live_station.py", "terminal.py", "timing.py"}
QUICK = ("live_figures.py", "journal_append.py")
LONG = {
    "console_keys.py": ["1"],
    "console_load.py": ["4"],
    "journal_lines.py": ["1000"],
    "long_journal.py": [],
    "start_up.py": [],
    "year_of_dives.py": [],
}
"""The long ones, with the words that make their runs here short."""


def test_no_benchmark_is_left_out() -> None:
    scripts = {path.name for path in HERE.glob("*.py") if not path.name.startswith("test_")}
    assert scripts == {*QUICK, *LONG, *SHARED}


@pytest.mark.parametrize("name", [*QUICK, *(pytest.param(name, marks=pytest.mark.soak) for name in LONG)])
def test_it_runs(name: str) -> None:
    command = [sys.executable, str(HERE / name), *LONG.get(name, ())]
    run = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert (run.returncode, run.stderr) == (0, "")
    assert " ms   " in run.stdout
