"""The law in print: planning and briefing, what the diver was told, fields asked for, gaps."""

from station.record import render_duties
from station.record.pdf.flow import columns, heading, pairs, paragraph
from station.record.pdf.sheet import Sheet
from station.record.render_told import Told


def before(sheet: Sheet, told: Told) -> None:
    """Print planning and briefing."""
    for name, title in (("planning", "Planning"), ("briefing", "Briefing")):
        if told.rows(name, "items"):
            heading(sheet, title)
            _items(sheet, told, name)


def _items(sheet: Sheet, told: Told, name: str) -> None:
    columns(sheet, render_duties.noted(told, name), 3)
    paragraph(sheet, render_duties.not_noted(told, name))


def after(sheet: Sheet, told: Told) -> None:
    """Print how the diver was, what the diver was told, the observation, and harm."""
    heading(sheet, "After the dive")
    closed = f"{told.text('after', 'closed')}, {told.body.name(told.text('after', 'by'))}"
    pairs(
        sheet,
        [
            ("Condition", told.text("after", "condition")),
            ("Remarks", told.text("after", "remarks")),
            *render_duties.observation(told),
            *render_duties.harm(told),
            ("Closed", closed),
            (
                "Journal",
                f"{told.text('journal', 'head')} entries, chain head {told.text('journal', 'head_hash')}",
            ),
        ],
        0.16,
    )
    _items(sheet, told, "told")


def law(sheet: Sheet, told: Told) -> None:
    """Print the gaps with their reasons, then each field asked for and the rules kept to."""
    heading(sheet, "Asked for and missing")
    pairs(sheet, render_duties.gaps(told) or [("nothing", "")])
    heading(sheet, "Rules this record answers")
    pairs(sheet, render_duties.law(told), 0.13)
    columns(sheet, [*render_duties.asked(told), *render_duties.rules(told)], 2)
