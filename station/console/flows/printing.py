"""A signed record printed as a PDF for the file cabinet."""

import asyncio
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Final

from station.console.desk import Desk

if TYPE_CHECKING:
    from station.record.prints import Paper

PRINTS: "Final[Mapping[str, Paper]]" = {"print A4": "a4", "print Letter": "letter"}
"""What is chosen, with its paper."""


async def print_record(desk: Desk, path: Path, paper: "Paper") -> None:
    """Print a record beside itself, and show where the PDF stands."""
    from station.closeout import print_record as printed  # noqa: PLC0415 - loads the record's libraries only when needed

    desk.say("printing the record")
    place = await asyncio.to_thread(printed, path, desk.folder, paper)  # half a second, in which time goes on
    desk.say(f"printed: {place.name}")
    await desk.tell("RECORD", f"Printed: {place}", ["It was printed with the verdict on its signatures."])
