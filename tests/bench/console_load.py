"""What the console costs while it waits: three live lanes at its tick, against an empty Textual program.

    python tests/bench/console_load.py [SECONDS]

Both run at once, each in a terminal of its own of 120 by 40, for 60 seconds unless told otherwise. One diver
is at a stop, one on the bottom, one has just arrived there.
"""

import sys
from contextlib import ExitStack
from pathlib import Path
from tempfile import TemporaryDirectory

from live_station import make_journal, three_below
from terminal import Terminal

SETTLING_S = 3.0
HERE = Path(__file__).parent


def opened(stack: ExitStack, folder: str) -> tuple[Terminal, Terminal]:
    """Return the console, on a journal of its own, and the empty program, both on the screen."""
    journal = make_journal(Path(folder) / "three.journal", three_below())
    console = stack.enter_context(Terminal(["-m", "station", "open", str(journal), "--folder", folder]))
    empty = stack.enter_context(Terminal([str(HERE / "empty_app.py")]))
    console.until(b"BEFORE YOU GO ON")
    console.press(b"\r")
    empty.until(b"EMPTY")
    return console, empty


def main() -> None:
    """Print the figures."""
    span_s = float(sys.argv[1]) if len(sys.argv) > 1 else 60.0
    with TemporaryDirectory() as folder, ExitStack() as stack:
        console, empty = opened(stack, folder)
        for one in (console, empty):
            one.run(SETTLING_S)
        before = [(one.processor_s(), one.bytes) for one in (console, empty)]
        slices = max(1, round(span_s / 0.5))
        for _ in range(slices):  # both are read in turns, so that neither ever waits for its reader
            console.run(span_s / slices / 2)
            empty.run(span_s / slices / 2)
        after = [(one.processor_s(), one.bytes) for one in (console, empty)]
        took = [(then[0] - first[0], then[1] - first[1]) for first, then in zip(before, after, strict=True)]
        for name, (used_s, data), one in zip(("console", "empty"), took, (console, empty), strict=True):
            share = f"{100 * used_s / span_s:6.2f} % of a core"
            print(
                f"{name:<10} {used_s * 1000:9.0f} ms   {share}   {data / span_s:8.0f} bytes/s"
                f"   {one.memory_mb():5.0f} MB"
            )
        ratio = took[0][0] / took[1][0] if took[1][0] else float("nan")
        print(f"the console takes {ratio:.2f} times the processor time of the empty program")
        mine, least = (one.processor_s() for one in (console, empty))
        print(f"from the start on, {mine:.2f} s against {least:.2f} s: {mine / least:.2f} times")


if __name__ == "__main__":
    main()
