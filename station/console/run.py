"""Running the console in a terminal."""

import os
import sys

from station.console.app import ConsoleApp
from station.console.drill import DrillControl
from station.console.seats.names import SeatName
from station.errors import TerminalError
from station.folder import Folder
from station.watch import Watch


def need_terminal() -> None:
    """Return when there is a terminal to draw on and to type at, or a page in a browser that stands for one.

    Raises:
        TerminalError: there is none.

    """
    if os.environ.get("TEXTUAL_DRIVER"):
        return
    if not (sys.stdin.isatty() and sys.stderr.isatty() and sys.stdout.isatty()):
        raise TerminalError(
            "there is no terminal here to draw the console on; a drill can be played with --no-screen"
        )


def run_console(
    watch: Watch, folder: Folder, drill: DrillControl | None = None, seat: SeatName | None = None
) -> int:
    """Show the console until it is left, at one seat if one is named; return the exit code.

    Raises:
        TerminalError: there is no terminal.

    """
    need_terminal()
    app = ConsoleApp(watch, folder, drill, seat=seat)
    app.run()
    return app.return_code or 0
