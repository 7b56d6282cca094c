"""How long the command takes to say what it can do, against an interpreter that does nothing.

python tests/bench/start_up.py [ROUNDS]
"""

import subprocess
import sys
from functools import partial

from timing import line, median_s

ROUNDS = 15
WAYS = {
    "a bare interpreter": ["-c", "pass"],
    "station --version": ["-m", "station", "--version"],
    "station --help": ["-m", "station", "--help"],
    "station plan 60 40": ["-m", "station", "plan", "60", "40"],
    "the console's own modules": ["-c", "import station.console.run"],
}


def run(arguments: list[str]) -> None:
    """Start the interpreter and wait for it."""
    subprocess.run([sys.executable, *arguments], check=True, stdout=subprocess.DEVNULL)


def main() -> None:
    """Print the figures."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else ROUNDS
    base: float | None = None
    for name, arguments in WAYS.items():
        took = median_s(partial(run, arguments), rounds)
        line(name, took, against_s=base, of="a bare one")
        base = base or took


if __name__ == "__main__":
    main()
