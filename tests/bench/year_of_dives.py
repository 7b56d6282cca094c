"""A year of dives replayed with their plans: what one costs as their number grows.

    python tests/bench/year_of_dives.py [DAYS]

5,000 dives in 250 operations of twenty, as a station works them, a journal for each day: each is read from
its lines, folded, and every lane's plan worked out at each of its marks. Every fifth time the first day is
replayed again, and time is that of the processor, so that the ratio does not hang on how busy the machine was
early or late in the run, which takes most of a minute. Fewer DAYS than 250 end the year early.
"""

import sys
from datetime import timedelta
from functools import partial
from statistics import median
from time import process_time

from dives import lines_of, operation, pattern, replay
from timing import line, seconds

DAYS, DIVES = 250, 20
SHOWN = (500, 1000, 2500, 5000)
WINDOW, EVERY = 25, 5
"""A figure is the median of the last 25 operations, 500 dives; the first day's, of five in between them."""


def a_dive_s(lines: list[str]) -> float:
    """Return the seconds that one dive of an operation takes."""
    return seconds(partial(replay, lines), process_time) / DIVES


def main() -> None:
    """Print the cost per dive as the year goes on."""
    days = int(sys.argv[1]) if len(sys.argv) > 1 else DAYS
    first_day = lines_of(operation(DIVES, timedelta(minutes=20)))
    started = pattern().opening[0].at.date()
    a_dive_s(first_day)
    took: list[float] = []
    again: list[float] = []
    ratios: list[float] = []
    for number in range(days):
        today = str(started + timedelta(days=number))
        took.append(a_dive_s([one.replace(str(started), today) for one in first_day]))
        if number % EVERY == 0:
            again.append(a_dive_s(first_day))
        if (done := len(took) * DIVES) in SHOWN:
            now, then = median(took[-WINDOW:]), median(again[-WINDOW // EVERY :])
            ratios.append(now / then)
            line(f"a dive, after {done} of the year", now, against_s=then, of="one of the first day, again")
    print(
        f"{len(first_day)} entries in an operation; ratio after {days * DIVES} to that after {SHOWN[0]}: ",
        end="",
    )
    print(f"{ratios[-1] / ratios[0]:.3f}")


if __name__ == "__main__":
    main()
