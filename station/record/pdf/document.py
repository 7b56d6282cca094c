"""A record as a PDF: its verdict and all it says, laid out for the file cabinet."""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import Final

from station.record.pdf import back, decompression, duties, front, gear, supplies
from station.record.pdf.flow import paragraph
from station.record.pdf.font import font_files
from station.record.pdf.profile import moment
from station.record.pdf.sheet import Furniture, Sheet
from station.record.prints import Paper
from station.record.render_page import Body, Row, body_of
from station.record.render_told import Told
from station.record.verify import Verdict

MOST_PAGES: Final = 3
"""What a record is fitted into by smaller letters, as long as they can be read; then it takes more pages."""
SCALES: Final = (1.0, 0.94, 0.88, 0.82)
_NO_DATE: Final = datetime(2000, 1, 1, tzinfo=UTC)
SECTIONS: Final[tuple[Callable[[Sheet, Told], None], ...]] = (
    front.dive,
    front.times,
    decompression.stops,
    decompression.oxygen_and_chamber,
    decompression.schedule,
    decompression.before_and_after,
    duties.after,
    back.remarks,
    back.alarms,
    back.corrections,
    supplies.readings,
    supplies.air,
    gear.outfit,
    duties.before,
    gear.inspection,
    gear.dressing,
    duties.law,
    back.others,
    back.files,
)


def record_pdf(data: bytes, verdict: Verdict, paper: Paper = "a4") -> bytes:
    """Return a record as a PDF, one to three pages for an ordinary dive.

    The figures are those of the file. The bytes depend on the file, the verdict and the paper alone, not on
    the day or the machine. A record that is not sound is printed as far as it can be read, its verdict
    in a box across the top.

    Raises:
        OSError: the font cannot be laid out in the temporary folder, because the disk is full for example.

    """
    with font_files() as fonts:
        lay = partial(_laid_out, _Record(data, verdict, body_of(data, verdict)), paper, fonts)
        scale, pages = SCALES[0], 0
        for scale in SCALES:
            with lay(scale, 0) as draft:
                pages = draft.pages_count
            if pages <= MOST_PAGES:
                break
        # Once more, now that the foot of each page can say how many there are.
        with lay(scale, pages) as sheet:
            return bytes(sheet.output())


@dataclass(frozen=True)
class _Record:
    """A record as it is printed; `body` is None when it cannot be read."""

    data: bytes
    verdict: Verdict
    body: Body | None


@contextmanager
def _laid_out(
    record: _Record, paper: Paper, fonts: Mapping[str, Path], scale: float, total: int
) -> Iterator[Sheet]:
    sheet = Sheet(paper, fonts, _furniture(record.body, record.verdict), scale, total)
    try:
        _fill(sheet, record)
        yield sheet
    finally:
        sheet.release()


def _fill(sheet: Sheet, record: _Record) -> None:
    told = None if record.body is None else Told(record.body)
    front.title_block(sheet, told)
    front.verdict_box(sheet, record.verdict)
    if told is None:
        paragraph(sheet, "What the file says cannot be laid out for reading; look at the file itself.")
    else:
        back.addenda(sheet, record.data, record.verdict)
        for section in SECTIONS:
            section(sheet, told)
    back.signatures(sheet, record.verdict)
    back.caution(sheet)


def _furniture(body: Body | None, verdict: Verdict) -> Furniture:
    said = any(one.statement.drill for one in verdict.signatures)
    closed = body.document.get("after") if body is not None else None
    return Furniture(
        title=body.text("record", "title") if body is not None else "Not a record that can be read",
        sha256=verdict.sha256,
        drill=said or (body is not None and body.flag("record", "drill")),
        unsound="" if verdict.sound else f"not sound: {verdict.status}",
        made=(moment(Row(closed), "closed") if isinstance(closed, dict) else None) or _NO_DATE,
        program=body.text("record", "program") if body is not None else "station",
    )
