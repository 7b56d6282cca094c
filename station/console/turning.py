"""Which seat or page is at the front of a screen, and how it is laid out in the room there is."""

from abc import abstractmethod
from collections.abc import Callable

from station.console.looking import Looking
from station.console.panes.paint import Paint
from station.console.seats.names import SEATS, SeatName
from station.watch import Watch

WIDE = (110, 36)
LEAST = (60, 20)
SLIM = 78
"""Below this width the ring of studs is told in rows instead of a picture."""
ARROWS = {
    "tender": "#order",
    "supply": "#supply-scroll",
    "journal": "#lines",
    "trail": "#trail-scroll",
    "ladder": "#ladder-scroll",
}
"""What the arrows move in, by seat or page."""
VIEWS = dict.fromkeys((*SEATS, *ARROWS))


class Turning(Looking):
    """What every screen of the station does to turn from one seat or page to another."""

    def __init__(self, watch: Watch, pulse: Callable[[], float], seat: SeatName | None) -> None:
        """Take what Looking takes, and the seat at which the screen stays; None where it goes along."""
        super().__init__(watch, pulse)
        self._stays = seat is not None
        below = any(lane.in_water for lane in watch.board.lanes.values())
        self.seat: SeatName = seat or ("timekeeper" if below else "tender")
        self._view: str = self.seat
        self._room = self.size

    @abstractmethod
    def repaint(self) -> None:
        """Paint now instead of at the next tick."""

    def _fit(self) -> None:
        wide = self._room.width >= WIDE[0] and self._room.height >= WIDE[1]
        small = self._room.width < LEAST[0] or self._room.height < LEAST[1]
        slim, views = self._room.width < SLIM, {f"-{view}": view == self._view for view in VIEWS}
        self.screen_stack[0].update_classes({"-wide": wide, "-small": small, "-slim": slim, **views})

    def show_view(self, view: str) -> None:
        """Bring a seat or a page to the front; a seat is the screen's own from then on, unless it stays.

        It comes empty, and is painted once the room it has there is known: no old figure comes back with it.
        """
        if view in SEATS and not self._stays:
            self.seat = SEATS[view]
        base, arrows = self.screen_stack[0], ARROWS.get(view)
        if view != self._view:
            for paint in base.query_one(f"#{view}").query(Paint):
                paint.show("")
        self._view = view
        self._fit()
        base.set_focus(base.query_one(arrows) if arrows else None)
        self.call_after_refresh(self.repaint)

    def follow(self, seat: SeatName) -> None:
        """Bring a seat to the front as the dive goes on, on a screen that is no seat of its own.

        What was entered is said on the screen first: whoever pressed a key waits for that.
        """
        if not self._stays:
            self.call_after_refresh(self.show_view, seat)

    def shows(self, view: str) -> bool:
        """Whether a seat or a page is on the screen now."""
        return view == self._view
