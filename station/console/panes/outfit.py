"""The order of inspection and dressing: what is next, what it waits for, and the ring of studs."""

from collections.abc import Iterator

from textual.app import ComposeResult
from textual.containers import Container, Vertical
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from station.board.figures import LaneFigures
from station.board.state import Board
from station.console.panes.paint import Paint, joined
from station.console.panes.ring import HEIGHT, WIDTH, picture, rows
from station.console.words import row_details, row_text
from station.outfit import Row


class OutfitPane(Container):
    """The list of rows, what the row under the cursor asks for, and the ring."""

    def __init__(self) -> None:
        super().__init__(id="outfit", classes="pane")
        self._lane: int | None = None
        self._texts: dict[str, str] = {}
        self._rows: dict[str, Row] = {}
        self._next: str | None = None

    def compose(self) -> ComposeResult:
        """Lay out list, details and ring."""
        with Vertical(id="order-side"):
            yield Paint(id="order-head", classes="head")
            yield OptionList(id="order", markup=False, compact=True)
        with Vertical(id="ring-side"):
            yield Paint(id="row-details")
            yield Paint(id="ring")

    @property
    def in_hand(self) -> str | None:
        """The id of the row under the cursor."""
        order = self.query_one("#order", OptionList)
        if order.highlighted is None or not order.option_count:
            return None
        return order.get_option_at_index(order.highlighted).id

    def show(self, board: Board, one: LaneFigures | None) -> None:
        """Paint what has changed."""
        head, order = self.query_one("#order-head", Paint), self.query_one("#order", OptionList)
        if one is None:
            head.show("OUTFIT: no dive is planned yet")
            order.clear_options()
            self._lane, self._texts, self._rows = None, {}, {}
            return
        self._rows = {row.id: row for part in one.parts for row in part.rows}
        texts = dict(_texts(one))
        if self._lane != one.lane.number or texts.keys() != self._texts.keys():
            self._fill(order, one, texts)
        else:
            for name, text in texts.items():
                if text != self._texts[name]:
                    order.replace_option_prompt(name, text)
        self._lane, self._texts = one.lane.number, texts
        self._follow(order, one)
        head.show(_head(one))
        self.show_details(board)
        self._show_ring(one)

    def show_details(self, board: Board) -> None:
        """Paint what the row under the cursor asks for."""
        row = self._rows.get(self.in_hand or "")
        self.query_one("#row-details", Paint).show(
            joined([row.title, *row_details(board, row)]) if row else ""
        )

    def _fill(self, order: OptionList, one: LaneFigures, texts: dict[str, str]) -> None:
        order.clear_options()
        options = []
        for part in one.parts:
            options.append(Option(texts[f"#{part.id}"], id=f"#{part.id}", disabled=True))
            options += [Option(texts[row.id], id=row.id) for row in part.rows]
        order.add_options(options)
        self._next = None

    def _follow(self, order: OptionList, one: LaneFigures) -> None:
        """Put the cursor on the first open row whenever that has become another one."""
        first = next((row.id for row in one.next_steps), None)
        if first != self._next and first is not None:
            order.highlighted = order.get_option_index(first)
        self._next = first

    def _show_ring(self, one: LaneFigures) -> None:
        ring = self.query_one("#ring", Paint)
        wide = ring.size.width >= WIDTH and ring.size.height >= HEIGHT
        ring.show(joined(picture(one.ring) if wide else rows(one.ring, ring.size.width)))


def _texts(one: LaneFigures) -> Iterator[tuple[str, str]]:
    for part in one.parts:
        yield f"#{part.id}", f"{part.title.upper()}  {part.done} of {part.total}"
        for row in part.rows:
            yield row.id, row_text(row)


def _head(one: LaneFigures) -> str:
    standing = [hold for hold in one.holds if hold.state == "standing"]
    if one.phase == "ready":
        return "READY TO DIVE"
    first = one.next_steps[0].title if one.next_steps else "nothing is open now"
    holds = f"  holds standing: {len(standing)}" if standing and one.open_for_dive else ""
    return f"NEXT: {first}{holds}"
