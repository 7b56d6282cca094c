"""What the benchmarks share: medians of one run, and ratios between them.

Nothing here judges a time. A machine is fast or slow, and busy or not, so only what two medians of the same
run say of one another is worth keeping.
"""

import gc
from collections.abc import Callable
from statistics import median
from time import perf_counter

MS = 1000.0


def seconds(work: Callable[[], object], clock: Callable[[], float] = perf_counter) -> float:
    """Return how long one call takes, the collector of unused memory held off."""
    gc.disable()
    try:
        begun = clock()
        work()
        return clock() - begun
    finally:
        gc.enable()


def median_s(work: Callable[[], object], rounds: int) -> float:
    """Return the median seconds of a call, one call before them left out."""
    work()
    return median(seconds(work) for _ in range(rounds))


def line(name: str, took_s: float, *, against_s: float | None = None, of: str = "") -> None:
    """Print one figure in milliseconds, with its ratio to another where one is given."""
    ratio = "" if against_s is None else f"   {took_s / against_s:9.4f} of {of}"
    print(f"{name:<46} {took_s * MS:10.3f} ms{ratio}")
