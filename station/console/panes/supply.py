"""The air: every gauge with its reading, age, minimum, margin and minutes left."""

from textual.app import ComposeResult
from textual.containers import Vertical

from station.board.figures import Figures
from station.board.state import Board
from station.console.panes.paint import Paint, joined
from station.console.words import supply_lines


class SupplyPane(Vertical):
    """The gauges and what they must carry."""

    def __init__(self) -> None:
        super().__init__(id="supply", classes="pane")

    def compose(self) -> ComposeResult:
        """One text under its head."""
        yield Paint(id="supply-head", classes="head")
        yield Paint(id="gauges")

    def show(self, board: Board, figures: Figures) -> None:
        """Paint what has changed."""
        self.query_one("#supply-head", Paint).show(f"AIR  {board.setup.supply.name}")
        self.query_one("#gauges", Paint).show(joined(supply_lines(board, figures)))
