"""What a printed record is laid out with: headings, pairs, tables and columns that go on over pages."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import zip_longest
from typing import Final

from station.record.pdf.sheet import Align, Sheet

_GAP: Final = 2.6
"""Millimetres between two columns."""
_PALE: Final = 170
_BETWEEN: Final = 0.03
"""Share of the width between two narrow tables side by side, the gaps left and right of it besides."""
_INDENT: Final = 3.0
"""Millimetres that the further lines of a cell stand in."""
_KEEP: Final = 4
"""Lines that stay with a heading."""


@dataclass(frozen=True)
class Column:
    """One column: its heading, its share of the width, where its words stand, and whether in bold."""

    title: str = ""
    share: float = 1.0
    align: Align = "left"
    bold: bool = False


def heading(sheet: Sheet, title: str, lines: int = _KEEP) -> None:
    """Print the heading of a section, never alone at the foot of a page."""
    height = sheet.line_height
    sheet.room(height * (lines + 1.6))
    if not sheet.fresh:
        sheet.down(height * 0.45)
        sheet.rule(sheet.y, 0.3)
    sheet.put(sheet.left, float(sheet.y) + 0.5, title.upper(), bold=True)
    sheet.down(height + 0.7)


def paragraph(sheet: Sheet, words: str, *, bold: bool = False) -> None:
    """Print words over the whole width; nothing for none."""
    table(sheet, [Column(bold=bold)], [[words]], ruled=False)


def pairs(sheet: Sheet, found: Sequence[tuple[str, str]], label: float = 0.2) -> None:
    """Print labels with their values over the whole width; `label` is the labels' share of it."""
    table(sheet, [Column(share=label, bold=True), Column(share=1 - label)], found, ruled=False)


def double_pairs(sheet: Sheet, first: Sequence[tuple[str, str]], second: Sequence[tuple[str, str]]) -> None:
    """Print two lists of labels with their values beside each other."""
    label, value = Column(share=0.13, bold=True), Column(share=0.37)
    rows = [[*one, *other] for one, other in zip_longest(first, second, fillvalue=("", ""))]
    table(sheet, [label, value, label, value], rows, ruled=False)


def columns(sheet: Sheet, cells: Sequence[str], count: int) -> None:
    """Print short cells in so many columns, to be read downwards; a longer cell takes more lines."""
    grid = _Grid(sheet, [Column()] * count)
    found = [[*wrap(sheet, cell, grid.widths[0] - _INDENT)] for cell in cells]
    while found:
        free = int((sheet.bottom - sheet.y) / sheet.line_height)
        if free < min(_KEEP, max(len(lines) for lines in found)):
            sheet.add_page()
            continue
        stacks, found = _stacked(found, count, free)
        for stack, start in zip(stacks, grid.starts, strict=False):
            for number, (line, indent) in enumerate(stack):
                sheet.put(start + indent, float(sheet.y) + number * sheet.line_height, line)
        sheet.down(max(len(stack) for stack in stacks) * sheet.line_height)


def _stacked(
    cells: list[list[str]], count: int, free: int
) -> tuple[list[list[tuple[str, float]]], list[list[str]]]:
    """Return as many cells as fit, spread evenly over the columns, lines with their indent; and the rest."""
    total = sum(len(lines) for lines in cells)
    height = min(free, -(-total // count))
    while True:
        stacks: list[list[tuple[str, float]]] = [[]]
        used = 0
        for lines in cells:
            if len(stacks[-1]) + len(lines) > height and stacks[-1]:
                if len(stacks) == count:
                    break
                stacks.append([])
            stacks[-1] += [(line, _INDENT if number else 0.0) for number, line in enumerate(lines[:free])]
            used += 1
        if used == len(cells) or height >= free:
            return stacks, cells[used:]
        height += 1


def banks(sheet: Sheet, layout: Sequence[Column], rows: Sequence[Sequence[str]], count: int) -> None:
    """Print a narrow table as so many side by side, to be read downwards one after the other.

    What does not fit this page goes on on the next, in the same order.
    """
    width = len(layout) + 1
    layout = [*layout, Column(share=_BETWEEN)]
    rows = [[*row, ""] for row in rows]
    grid = _Grid(sheet, [*layout] * count)
    while rows:
        free = int((sheet.bottom - sheet.y) / sheet.line_height - 1.5)
        if free < min(_KEEP, -(-len(rows) // count)):
            sheet.add_page()
            continue
        here = min(len(rows), free * count)
        while here > count and grid.lines(_banked(rows[:here], count, width)) > free:
            here -= 1
        used = -(-here // -(-here // count))
        blank = [replace(column, title="") for column in layout] * (count - used)
        table(sheet, [*layout] * used + blank, _banked(rows[:here], count, width))
        rows = rows[here:]


def table(
    sheet: Sheet, layout: Sequence[Column], rows: Sequence[Sequence[str]], *, ruled: bool = True
) -> None:
    """Print a table; its headings are said again on every page it goes on to."""
    grid = _Grid(sheet, layout)
    titled = any(column.title for column in layout)
    if titled and rows:
        sheet.room(sheet.line_height * (1.5 + min(grid.lines(rows[:1]), _KEEP)))
        grid.titles()
    for row in rows:
        _row(sheet, grid, grid.wrapped(row), titled=titled)
        if ruled:
            sheet.set_draw_color(_PALE)
            sheet.set_line_width(0.1)
            sheet.line(sheet.left, sheet.y, sheet.right, sheet.y)
            sheet.set_draw_color(0)


def _row(sheet: Sheet, grid: "_Grid", cells: list[list[str]], *, titled: bool) -> None:
    """Print one row, on a new page when it does not fit here, in parts when it fits on none."""
    height = sheet.line_height
    while any(cells):
        count = max(len(cell) for cell in cells)
        fits = int((sheet.bottom - sheet.y) / height)
        whole = int((sheet.bottom - 3 * sheet.left) / height)
        if fits < min(count, whole):
            sheet.add_page()
            if titled:
                grid.titles()
            continue
        grid.draw([cell[:fits] for cell in cells])
        sheet.down(height * min(count, fits))
        cells = [cell[fits:] for cell in cells]


class _Grid:
    """Columns with their places on the page."""

    def __init__(self, sheet: Sheet, layout: Sequence[Column]) -> None:
        self.sheet, self.layout = sheet, layout
        usable = sheet.width - _GAP * (len(layout) - 1)
        unit = usable / sum(column.share for column in layout)
        self.widths = [column.share * unit for column in layout]
        self.starts = [sheet.left + sum(self.widths[:at]) + _GAP * at for at in range(len(layout))]

    def titles(self) -> None:
        sheet = self.sheet
        self.draw([[column.title] for column in self.layout], bold=True)
        sheet.down(sheet.line_height)
        sheet.rule(float(sheet.y), 0.2)
        sheet.down(0.2)

    def wrapped(self, row: Sequence[str]) -> list[list[str]]:
        """Return each cell broken into lines that fit its column."""
        return [
            [*wrap(self.sheet, cell, width, bold=column.bold)]
            for cell, width, column in zip(row, self.widths, self.layout, strict=True)
        ]

    def lines(self, rows: Sequence[Sequence[str]]) -> int:
        """Return how many lines rows take."""
        return sum(max((len(cell) for cell in self.wrapped(row)), default=0) for row in rows)

    def draw(self, cells: Sequence[Sequence[str]], *, bold: bool = False) -> None:
        """Print lines from the cursor down, which stays where it is."""
        sheet = self.sheet
        places = zip(cells, self.starts, self.widths, self.layout, strict=True)
        for lines, start, width, column in places:
            at = start + {"left": 0.0, "right": width, "centre": width / 2}[column.align]
            for number, line in enumerate(lines):
                top = float(sheet.y) + number * sheet.line_height
                sheet.put(at, top, line, bold=bold or column.bold, align=column.align)


def wrap(sheet: Sheet, text: str, width: float, *, bold: bool = False) -> Iterator[str]:
    """Yield text in lines that are no wider than a width; a word wider than that is broken."""
    line = ""
    for word in sheet.letters.shown(text).split():
        longer = f"{line} {word}" if line else word
        if _wide(sheet, longer, bold=bold) <= width:
            line = longer
            continue
        if line:
            yield line
        line = word
        while _wide(sheet, line, bold=bold) > width:
            cut = _cut(sheet, line, width, bold=bold)
            yield line[:cut]
            line = line[cut:]
    if line:
        yield line


def _wide(sheet: Sheet, line: str, *, bold: bool) -> float:
    """Return a line's width, as the sum of its words': the letters are not moved together at a blank."""
    words = line.split(" ")
    blank = sheet.text_width(" ", bold=bold)
    return sum(sheet.text_width(word, bold=bold) for word in words) + blank * (len(words) - 1)


def _cut(sheet: Sheet, word: str, width: float, *, bold: bool) -> int:
    """Return how many letters of a word fit a width, at least one."""
    wide = 0.0
    for count, letter in enumerate(word):
        wide += sheet.text_width(letter, bold=bold)
        if wide > width:
            return max(count, 1)
    return len(word)


def _banked(rows: Sequence[Sequence[str]], count: int, cells: int) -> list[list[str]]:
    """Return rows side by side in so many banks, read downwards; what is left over is empty."""
    height = -(-len(rows) // count)
    stacks = [rows[at : at + height] for at in range(0, len(rows), max(height, 1))]
    stacks += [[]] * (count - len(stacks))
    empty = [""] * cells
    return [[cell for one in wide for cell in one] for wide in zip_longest(*stacks, fillvalue=empty)]
