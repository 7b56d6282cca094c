"""The outfit in a record: what was drawn, what was looked at, how the diver was dressed and undressed."""

from station.events import HoldReleased, ItemInspected, NutMarked, PieceDrawn, StepDone
from station.outfit.views import SECTION_TITLES
from station.outfit.waiting import NUT_WORDS
from station.record.document_case import Case
from station.record.document_layout import Row, Table


def outfit_tables(case: Case) -> list[Table]:
    """Return the tables of outfit, inspection and dressing."""
    return [_outfit(case), _inspection(case), _dressing(case)]


def _outfit(case: Case) -> Table:
    file = case.setup.outfit.file
    return Table(
        "outfit",
        "Outfit",
        {
            "name": file.title,
            "pieces": [_piece(case, event) for event in case.of_lane(PieceDrawn)],
            "set_aside": _set_aside(case),
        },
        "Every piece drawn, in the order of drawing: its own number, that of its set, its last test. A "
        "piece drawn again was drawn in place of the earlier one.",
    )


def _piece(case: Case, event: PieceDrawn) -> Row:
    known = case.setup.outfit.pieces.get(event.piece)
    return {
        "at": event.at,
        "piece": event.piece,
        "title": known.title if known else None,
        "number": event.number,
        "stamped": event.stamped,
        "tested": event.tested,
        "test": known.test.what if known and known.test else None,
        "by": event.by,
    }


def _set_aside(case: Case) -> list[Row]:
    items, pieces = case.setup.outfit.items, case.setup.outfit.pieces
    return [
        {
            "at": one.mark.at,
            "piece": one.piece,
            "title": pieces[one.piece].title,
            "number": one.number,
            "failed": f"{items[one.item].part}: {items[one.item].look}",
            "by": one.mark.by,
        }
        for one in case.lane.progress.set_aside
    ]


def _inspection(case: Case) -> Table:
    return Table(
        "inspection",
        "Inspection before dressing",
        {"items": [_item(case, event) for event in case.of_lane(ItemInspected)]},
        "Every look that counts, the failed ones too: 29 CFR 1910.421(g).",
    )


def _item(case: Case, event: ItemInspected) -> Row:
    known = case.setup.outfit.items.get(event.item)
    return {
        "at": event.at,
        "item": event.item,
        "look": f"{known.part}: {known.look}" if known else None,
        "result": "passed" if event.passed else "failed",
        "remark": event.remark,
        "by": event.by,
    }


def _dressing(case: Case) -> Table:
    holds = case.setup.outfit.holds
    return Table(
        "dressing",
        "Connecting up, dressing, undressing",
        {
            "steps": [_step(case, event) for event in case.of_lane(StepDone)],
            "nuts": [
                {"at": event.at, "stud": event.stud, "nut": NUT_WORDS[event.state], "by": event.by}
                for event in case.of_lane(NutMarked)
            ],
            "holds_released": [
                {
                    "at": event.at,
                    "hold": event.hold,
                    "title": holds[event.hold].title if event.hold in holds else None,
                    "reason": event.reason,
                    "by": event.by,
                }
                for event in case.of_lane(HoldReleased)
            ],
        },
        "Steps and wing nuts in the order in which they were entered. holds_released: by the supervisor.",
    )


def _step(case: Case, event: StepDone) -> Row:
    known = case.setup.outfit.steps.get(event.step)
    return {
        "at": event.at,
        "part": SECTION_TITLES[known.section] if known else None,
        "step": event.step,
        "title": known.title if known else None,
        "by": event.by,
        "checked_by": event.checked_by,
    }
