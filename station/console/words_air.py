"""The air in words: when to turn, every gauge, the sums, what is counted, and the pressures drawn over time.

Only words and layout stand here; every number comes from the rooms below. Lines are broken here, to the width
there is, so that a pane knows how many rows they take.
"""

from collections.abc import Iterator, Sequence
from string import ascii_lowercase

from textual.content import Content

from station.board.air_figures import AirFigures
from station.board.figures import Figures
from station.board.state import Board
from station.console.layout import broken
from station.console.plot import Axes, Marker, Series, plot
from station.dive.text import mmss
from station.supply.figures import CompressorFigures, GaugeFigures, SupplyFigures
from station.supply.model import Supply
from station.units import pressure_in, show_margin, show_needed_pressure, show_pressure

NONE = "--"
TURN = "TURN"
"""How the lines begin that say when to leave the bottom."""
TURN_ROWS, SMALL_WIDTH = 2, 70
"""The rows of each above the gauges, one more below that width; a longer one stands further down, in full."""
GAUGE_WIDTH = 64
"""The columns of a gauge's line with its words LOW and OLD."""
MANIFOLD_KEY = "m"
BANK_KEYS = ascii_lowercase.replace(MANIFOLD_KEY, "")
"""No digit: the first one of a figure typed before its gauge would choose a gauge and be lost."""
PLOT_ROWS = 9
ON_LINE, LOST = ">", "x"


def gauge_keys(supply: Supply | SupplyFigures) -> dict[str, str]:
    """Return the key of each gauge: by it a reading is entered, and a plotted pressure known."""
    banks = (bank.id for bank in supply.banks)
    return {supply.manifold.id: MANIFOLD_KEY} | dict(zip(banks, BANK_KEYS[: len(supply.banks)], strict=True))


def first_lines(board: Board, figures: Figures, width: int) -> list[Content]:
    """Return what is always in sight: when to turn, and the manifold."""
    lines: list[Content] = []
    for turn in _turns(figures.air):
        rows = _broken(turn, width)
        most = _turn_rows(width)
        if len(rows) > most:
            rows = (*rows[: most - 1], f"{rows[most - 1][: width - 4]} ...")
        lines += [Content.styled(row, "bold") for row in rows]
    minimum = f"{'minimum':>10}" if width >= GAUGE_WIDTH else ""
    head = f"{'  > on line':<11}{'reads':>10}{'age':>7}{minimum}{'margin':>10}{'lasts':>8}"
    lines.append(Content.styled(head, "bold"))
    lines.append(Content(_gauge_line(board, figures, figures.supply.manifold, width)))
    return lines


def other_lines(board: Board, figures: Figures, width: int) -> list[Content]:
    """Return everything else, what matters most first."""
    return [
        line if isinstance(line, Content) else Content(row)
        for line in _others(board, figures, width)
        for row in ([""] if isinstance(line, Content) else _broken(line, width))
    ]


def _others(board: Board, figures: Figures, width: int) -> Iterator[str | Content]:
    """Yield lines of any length, and those that stand as they are."""
    air, supply = figures.air, figures.supply
    for bank in supply.banks:
        yield Content(_gauge_line(board, figures, bank, width))
    yield from (_compressor_line(board, one) for one in supply.compressors)
    yield from (turn for turn in _turns(air) if len(_broken(turn, width)) > _turn_rows(width))
    yield from (line for line in air.lines if not line.startswith(TURN))
    yield from _needs(board, supply)
    yield from (Content(line) for line in history_lines(board, figures, width))
    if air.look.stores:
        yield Content.styled("USABLE AIR, by the trade's formula and as a real gas", "bold")
        yield from (one.words for one in air.look.stores)
    if air.failed or air.ages:
        yield Content.styled("TESTS AND SAMPLES", "bold")
    yield from (one.words for one in air.failed)
    yield from (one.words for one in air.ages)


def _turns(air: AirFigures) -> list[str]:
    return [line for line in air.lines if line.startswith(TURN)]


def _turn_rows(width: int) -> int:
    return TURN_ROWS if width >= SMALL_WIDTH else TURN_ROWS + 1


def _broken(line: str, width: int) -> tuple[str, ...]:
    """Return a line in rows of the width there is, all but the first set in."""
    return broken(line, width, "  ")


def _gauge_line(board: Board, figures: Figures, gauge: GaugeFigures, width: int) -> str:
    """Return a gauge's line; LOW, OLD and LOST are words, not colours. What is lost lasts for nothing.

    Where there is no room for all of it the minimum is left out: the margin tells of it.
    """
    unit, air = board.setup.station.units.pressure, figures.air
    lost = gauge.id in air.lost
    state = LOST if lost else ON_LINE if gauge.id == air.on_line else " "
    reads = NONE if gauge.pressure_psig is None else show_pressure(gauge.pressure_psig, unit)
    age = "unread" if gauge.age_s is None else mmss(gauge.age_s)
    minimum = NONE if gauge.minimum_psig is None else show_needed_pressure(gauge.minimum_psig, unit)
    margin = NONE if gauge.margin_psi is None else show_margin(gauge.margin_psi, unit)
    minimum = f"{minimum:>10}" if width >= GAUGE_WIDTH else ""
    lasts = NONE if gauge.minutes_left is None or lost else f"{gauge.minutes_left} min"
    signs = " LOW" if gauge.below_minimum else ""
    signs += " OLD" if gauge.stale and gauge.age_s is not None else ""
    key = gauge_keys(figures.supply)[gauge.id]
    return (
        f"{key}{state} {gauge.name:<8.8}{reads:>10}{age:>7}{minimum}{margin:>10}{lasts:>8}"
        f"{' LOST' if lost else signs}"
    )


def _compressor_line(board: Board, one: CompressorFigures) -> str:
    unit = board.setup.station.units.pressure
    margin = NONE if one.margin_psi is None else show_margin(one.margin_psi, unit)
    return f"{one.name}: {one.spare_scfm:g} scfm to spare, margin {margin}; {one.words}"


def _needs(board: Board, supply: SupplyFigures) -> Iterator[str]:
    """Yield what each diver needs, and the flow of all of them."""
    unit = board.setup.station.units.pressure
    for diver in supply.divers:
        needed = NONE if diver.needed_psig is None else show_needed_pressure(diver.needed_psig, unit)
        margin = NONE if diver.margin_psi is None else show_margin(diver.margin_psi, unit)
        yield f"lane {diver.lane}: needs {needed}, margin {margin}, {diver.scfm:g} scfm"
    yield f"demand {supply.demand_scfm:g} scfm: {supply.flow_words}"


def history_lines(board: Board, figures: Figures, width: int) -> list[str]:
    """Return the pressures read over time, drawn: the banks together, the manifold by itself."""
    supply, unit = figures.supply, board.setup.station.units.pressure
    lines: list[str] = []
    for title, gauges in (("BANKS", supply.banks), ("MANIFOLD", (supply.manifold,))):
        drawn = _plot(figures, gauges, unit, width)
        signs = ", ".join(f"{gauge_keys(supply)[one.id]} {one.name}" for one in gauges)
        if drawn:
            lines += [f"{title} over time, {unit}: {signs}"[:width], *drawn]
    return lines


def _plot(figures: Figures, gauges: Sequence[GaugeFigures], unit: str, width: int) -> list[str]:
    keys, air = gauge_keys(figures.supply), figures.air
    series = [
        Series(
            keys[one.id],
            [(read.at, pressure_in(read.pressure_psig, unit)) for read in air.history.get(one.id, ())],
        )
        for one in gauges
    ]
    least = {one.minimum_psig for one in gauges if one.minimum_psig is not None}
    markers = [Marker(pressure_in(psig, unit), "minimum") for psig in sorted(least)]
    banks = len(gauges) > 1 or gauges[0].kind == "bank"
    axes = Axes(markers=markers, include=[0] if banks else [], until=air.as_of)
    return plot(series, width, PLOT_ROWS, axes)
