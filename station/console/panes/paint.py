"""A text of which only changed lines are painted, in a widget whose size does not depend on it."""

from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache

from rich.console import Console
from rich.segment import Segment
from textual.content import Content
from textual.geometry import Region
from textual.renderables.digits import Digits
from textual.strip import Strip
from textual.style import Style
from textual.widgets import Static

Text = str | Content
DIGIT = 3
"""Columns, and rows, of one large digit."""
_NOTHING = Content("")
_KEPT = 64


class Paint(Static):
    """Fixed-size text; markup in it means nothing, because names and notes come from outside."""

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:  # noqa: A002 - Textual's name
        super().__init__("", markup=False, id=id, classes=classes)
        self._lines: list[Content] = [_NOTHING]
        self._shown: Content | None = None
        self._strips: dict[int, tuple[Content, int, Style, Strip]] = {}

    def show(self, text: Text) -> None:
        """Paint the lines of a text that differ from what stands there."""
        content = Content(text) if isinstance(text, str) else text
        self.show_lines(content.split(allow_blank=True))

    def show_lines(self, lines: Iterable[Text]) -> None:
        """Paint those lines that differ from what stands there; no line break in any of them."""
        before, folded = self._lines, self._folds
        now = [Content(line) if isinstance(line, str) else line for line in lines] or [_NOTHING]
        rows = range(max(len(before), len(now)))
        changed = [row for row in rows if not same_look(_line(before, row), _line(now, row))]
        if not changed and len(now) == len(before):
            return
        self._lines, self._shown = now, None
        if folded or self._folds or not self.size:
            self.refresh()
            return
        top, width = self.styles.gutter.top, self.outer_size.width
        self.refresh(*(Region(0, top + row, width, 1) for row in changed))

    def render(self) -> Content:
        """Return the whole text, as Textual asks for it to measure, copy and fold it."""
        if self._shown is None:
            self._shown = joined(self._lines)
        return self._shown

    def render_line(self, y: int) -> Strip:
        """Return one line; made anew only when it, its room or its colours have changed."""
        if self._folds or self.text_selection is not None:
            return super().render_line(y)
        line, width, style = _line(self._lines, y), self.size.width, self.visual_style
        kept = self._strips.get(y)
        if kept is None or kept[0] is not line or kept[1] != width or kept[2] is not style:
            cut = line.truncate(width, ellipsis=self.styles.text_overflow == "ellipsis")
            kept = self._strips[y] = line, width, style, _strip(cut, style, y)
        return kept[3]

    @property
    def shown(self) -> str:
        """What stands there, as plain text."""
        return self.render().plain

    @property
    def _folds(self) -> bool:
        """Whether a line may go on in the next row, so that lines and rows are not the same."""
        if self.styles.text_wrap == "nowrap":
            return False
        return any(line.cell_length > self.size.width for line in self._lines)


class LargeClock(Paint):
    """A time in digits three rows high, with lines above and below it."""

    value = ""
    _told = ""

    def show_time(self, value: str, above: Sequence[Content] = (), below: Sequence[Content] = ()) -> None:
        """Paint a time such as '07:31'; in the first line below where there is no room for large digits."""
        self.value = value
        self._told = "\n".join([*(one.plain for one in above), value, *(one.plain for one in below)])
        if self.size and len(value) * DIGIT > self.size.width:
            first, *more = below or [Content("")]
            self.show_lines([*above, Content.assemble(f"{value}  ", first), *more])
        else:
            self.show_lines([*above, *map(Content, _large(value)), *below])

    @property
    def shown(self) -> str:
        """What stands there in letters that can be read aloud."""
        return self._told


def joined(lines: Iterable[Text]) -> Content:
    """Return lines as one text."""
    return Content("\n").join(Content(line) if isinstance(line, str) else line for line in lines)


def _line(lines: list[Content], row: int) -> Content:
    return lines[row] if row < len(lines) else _NOTHING


def same_look(one: Content, other: Content) -> bool:
    """Whether two texts look the same; Textual calls them equal as soon as their letters are."""
    return one is other or (one.plain == other.plain and list(one.spans) == list(other.spans))


def _strip(line: Content, base: Style, row: int) -> Strip:
    """Return a line in its colours, each part with its place, by which a mouse marks text to be copied."""
    parts, column = [], 0
    for text, style in line.render(base, end="", parse_style=_parsed):
        parts.append(Segment(text, style.rich_style_with_offset(column, row)))
        column += len(text)
    return Strip(parts, line.cell_length)


@lru_cache(_KEPT)
def _parsed(style: str | Style) -> Style:
    return style if isinstance(style, Style) else Style.parse(style)


def _large(value: str) -> Iterator[str]:
    """Yield the rows of a time in large digits."""
    for rows in zip(*map(_large_digit, value), strict=True):
        yield "".join(rows)


@lru_cache(_KEPT)
def _large_digit(digit: str) -> tuple[str, ...]:
    rows = Console(width=DIGIT).render_lines(Digits(digit), pad=True)
    return tuple("".join(part.text for part in row) for row in rows)
