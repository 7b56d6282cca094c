"""Work over several processes, few pieces in hand at a time, so that memory does not grow with the shelf."""

import multiprocessing
import os
import signal
import sys
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from itertools import islice
from typing import Final, TypeVar

A = TypeVar("A")
B = TypeVar("B")

PIECE: Final = 16
"""Things handed to a process at once."""
AHEAD: Final = 3
"""Pieces under way per process."""


def cores() -> int:
    """Return how many processes may work side by side."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def spread(work: Callable[[A], B], things: Iterable[A], jobs: int = 1) -> Iterator[B]:
    """Yield the result for each thing, in their order; with several jobs `work` must be picklable."""
    if jobs <= 1:
        yield from map(work, things)
        return
    pieces = _pieces(things)
    # Where a forked process is safe it has everything loaded already; it is not on macOS.
    how = "fork" if sys.platform == "linux" else "spawn"
    pool = ProcessPoolExecutor(jobs, multiprocessing.get_context(how), initializer=_leave_interrupts)
    try:
        waiting: deque[Future[list[B]]] = deque(
            pool.submit(_piece, work, piece) for piece in islice(pieces, jobs * AHEAD)
        )
        while waiting:
            done = waiting.popleft().result()
            waiting.extend(pool.submit(_piece, work, piece) for piece in islice(pieces, 1))
            yield from done
    finally:
        pool.shutdown(cancel_futures=True)


def _pieces(things: Iterable[A]) -> Iterator[Sequence[A]]:
    rest = iter(things)
    while piece := list(islice(rest, PIECE)):
        yield piece


def _piece(work: Callable[[A], B], piece: Sequence[A]) -> list[B]:
    return [work(one) for one in piece]


def _leave_interrupts() -> None:
    """Let the first process alone answer the keyboard's interrupt."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
