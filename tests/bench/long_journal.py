"""One journal that is never closed: what a dive, an entry and a tick cost as it grows.

    python tests/bench/long_journal.py

An operation is meant to last a day. This shows what it costs to let one run on.
"""

from datetime import timedelta
from functools import partial

from dives import lines_of, operation, pattern, replay
from timing import line, median_s, seconds

from station.board.figures import figures
from station.board.fold import fold, follow

LANES = (20, 50, 100, 200)


def main() -> None:
    """Print the figures; the first size is a busy day."""
    first: dict[str, float] = {}
    for lanes in LANES:
        events = operation(lanes, timedelta(minutes=20))
        lines, board, last = lines_of(events), fold(pattern().setup, events[:-1]), events[-1]
        costs = {
            "replayed with its plans": seconds(partial(replay, lines)) / lanes,
            "one more entry": median_s(partial(follow, board, last), 9),
            "the figures of a tick": median_s(partial(figures, board, last.at), 5),
        }
        for name, cost in costs.items():
            line(f"{lanes:4} dives: {name}", cost, against_s=first.setdefault(name, cost), of="a day's")


if __name__ == "__main__":
    main()
