"""The alarms as a list: those that stand, who took notice of them, and those that ended a short time ago."""

from station.board.figures import Figures
from station.board.state import Board
from station.console.layout import counted
from station.console.panes.paint import Paint
from station.console.words_alarms import alarm_lines


class AlarmsPane(Paint):
    """As many lines as there is room for; what is left out is counted in the last of them."""

    def show_alarms(self, board: Board, now: Figures) -> None:
        """Paint what has changed."""
        size = self.content_size
        lines = counted(alarm_lines(board, now, size.width), max(1, size.height))
        self.show_lines(line.truncate(max(1, size.width), ellipsis=True) for line in lines)
