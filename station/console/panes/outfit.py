"""The order of inspection and dressing with who and when, what a row asks for, and the ring of studs."""

from collections.abc import Iterator

from textual.app import ComposeResult
from textual.containers import Container, Horizontal
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from station.board.figures import LaneFigures
from station.board.state import Board
from station.console.layout import counted
from station.console.panes.paint import Paint
from station.console.panes.ring import HEIGHT, WIDTH, picture, rows
from station.console.words import row_details
from station.console.words_tender import hold_lines, order_line
from station.outfit import Row

LITTLE = 2
"""Rows in which what a row asks for has no room for its title: it stands in the list above."""


class OutfitPane(Container):
    """The list of rows, what the row under the cursor asks for, and the ring."""

    def __init__(self) -> None:
        super().__init__(id="outfit", classes="pane")
        self._lane: int | None = None
        self._texts: dict[str, str] = {}
        self._rows: dict[str, Row] = {}
        self._next: str | None = None

    def compose(self) -> ComposeResult:
        """List and ring beside one another; below them the row under the cursor, holds and defects."""
        with Horizontal(id="order-and-ring"):
            yield OptionList(id="order", markup=False, compact=True)
            yield Paint(id="ring")
        yield Paint(id="row-details")
        yield Paint(id="holds")

    @property
    def in_hand(self) -> str | None:
        """The id of the row under the cursor."""
        order = self.query_one("#order", OptionList)
        if order.highlighted is None or not order.option_count:
            return None
        return order.get_option_at_index(order.highlighted).id

    def show(self, board: Board, one: LaneFigures | None) -> None:
        """Paint what has changed."""
        order, holds = self.query_one("#order", OptionList), self.query_one("#holds", Paint)
        self.set_class(one is None or not any(stud.next or stud.state for stud in one.ring), "-no-ring")
        self.set_class(one is not None and not any(stud.next for stud in one.ring), "-still-ring")
        if one is None:
            order.clear_options()
            self._lane, self._texts, self._rows = None, {}, {}
            holds.show("")
            self.query_one("#ring", Paint).show("")
            self.show_details(board)
            return
        self._rows = {row.id: row for part in one.parts for row in part.rows}
        texts = dict(_texts(board, one, order.scrollable_content_region.width))
        if self._lane != one.lane.number or texts.keys() != self._texts.keys():
            self._fill(order, one, texts)
        else:
            for name, text in texts.items():
                if text != self._texts[name]:
                    order.replace_option_prompt(name, text)
        self._lane, self._texts = one.lane.number, texts
        self._follow(order, one)
        holds.show_lines(counted(hold_lines(board, one), holds.size.height))
        self.show_details(board)
        self._show_ring(one)

    def show_details(self, board: Board) -> None:
        """Paint what the row under the cursor asks for."""
        row = self._rows.get(self.in_hand or "")
        paint = self.query_one("#row-details", Paint)
        title = [row.title] if row and paint.size.height > LITTLE else []
        paint.show_lines([*title, *row_details(board, row)] if row else [])

    def _fill(self, order: OptionList, one: LaneFigures, texts: dict[str, str]) -> None:
        order.clear_options()
        options = []
        for part in one.parts:
            options.append(Option(texts[f"#{part.id}"], id=f"#{part.id}", disabled=True))
            options += [Option(texts[row.id], id=row.id) for row in part.rows]
        order.add_options(options)
        self._next = None

    def _follow(self, order: OptionList, one: LaneFigures) -> None:
        """Put the cursor on the first open row, else the first that waits, when that has become another."""
        waiting = (row for row in self._rows.values() if row.state == "waiting")
        first = next((row.id for row in (*one.next_steps, *waiting)), None)
        if first != self._next and first is not None:
            order.highlighted = order.get_option_index(first)
        self._next = first

    def _show_ring(self, one: LaneFigures) -> None:
        ring = self.query_one("#ring", Paint)
        wide = ring.size.width >= WIDTH and ring.size.height >= HEIGHT
        ring.show_lines((picture(one.ring) if wide else []) or rows(one.ring, ring.size.width))


def _texts(board: Board, one: LaneFigures, width: int) -> Iterator[tuple[str, str]]:
    for part in one.parts:
        yield f"#{part.id}", f"{part.title.upper()}  {part.done} of {part.total}"
        for row in part.rows:
            yield row.id, order_line(board, row, width)
