"""Oxygen, the chamber and emergency cards in a record."""

from collections.abc import Iterator

from station.board.after import chamber_of
from station.board.facts import chamber_marks
from station.dive.chamber import ChamberLive
from station.dive.chamber_marks import CHAMBER_WORDS
from station.dive.text import mmss
from station.events import CardClosed, CardDecided, CardOpened
from station.record.document_case import Case
from station.record.document_layout import Row, Said, Table


def chamber_tables(case: Case) -> list[Table]:
    """Return the tables of oxygen in the water, of the chamber and of emergency cards."""
    return [_oxygen(case), _chamber(case), _cards(case)]


def _oxygen(case: Case) -> Table:
    oxygen = case.dive.oxygen
    fields: Row = {"breathed": oxygen is not None}
    if oxygen is not None:
        fields = {
            "breathed": oxygen.served_s > 0,
            "time_on_oxygen_s": Said(oxygen.served_s, mmss(oxygen.served_s)),
            "air_breaks": oxygen.breaks_taken,
            "lost": oxygen.lost,
        }
    return Table("oxygen", "Oxygen in the water", fields, "Time on oxygen in seconds, rounded down.")


def _chamber(case: Case) -> Table:
    found = chamber_of(case.board, case.lane, case.dive, case.closed.at)
    taken = {one.at: one.by for one in case.lane.chamber}
    marks: list[Row] = [
        {"at": one.at, "mark": CHAMBER_WORDS[one.name], "depth_fsw": one.depth, "by": taken.get(one.at)}
        for one in chamber_marks(case.board, case.lane, case.closed.at)
    ]
    return Table(
        "chamber",
        "Surface decompression",
        {"marks": marks, **(_figures(found) if found else {})},
        "A mark without `by` was set by the console: the interval begins by itself.",
    )


def _figures(found: ChamberLive) -> Row:
    interval = found.interval
    return {
        "interval_s": Said(interval.elapsed_s, mmss(interval.elapsed_s)) if interval else None,
        "interval_rule": interval.penalty.words if interval else None,
        "oxygen_planned": [{"depth_fsw": part.depth, "minutes": part.minutes} for part in found.parts],
        "time_on_oxygen_s": Said(found.served_s, mmss(found.served_s)),
        "missing": list(found.missing),
    }


def _cards(case: Case) -> Table:
    return Table("cards", "Emergency cards", {"entries": list(_card_rows(case))})


def _card_rows(case: Case) -> Iterator[Row]:
    for one in case.lane.cards:
        card = case.setup.cards.card(one.card)
        yield {
            "at": one.at,
            "card": card.title if card else one.card,
            "what": _WHAT[type(one)],
            "words": None if isinstance(one, CardOpened) else one.text,
            "by": one.by,
        }


_WHAT = {CardOpened: "opened", CardDecided: "decided", CardClosed: "closed"}
