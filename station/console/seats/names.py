"""The names of the seats, as the command line and the screen use them."""

from typing import Literal

SeatName = Literal["tender", "timekeeper", "supervisor"]
SEATS: dict[str, SeatName] = {"tender": "tender", "timekeeper": "timekeeper", "supervisor": "supervisor"}
