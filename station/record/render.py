"""A record in plain text for reading and printing: at most 80 columns wide, a drill marked all over.

The record's file is what counts; this leaves out what only a check needs, and says so.
"""

from collections.abc import Iterator

from station.caution import CAUTION
from station.errors import RecordError
from station.moments import iso
from station.record.places import what_stands
from station.record.render_page import Body, body_of, drill_band, heading, plain, wrapped
from station.record.render_sections import SECTIONS
from station.record.report import report
from station.record.verify import Verdict


def as_text(data: bytes, verdict: Verdict) -> str:
    """Return a record as text, its verdict and signers first; what cannot be laid out is said to be so."""
    body = body_of(data, verdict)
    said = any(one.statement.drill for one in verdict.signatures)
    drill = said or (body is not None and body.flag("record", "drill"))
    lines = [*_top(body, verdict, drill=drill), *_addenda(data, body, verdict, drill=drill)]
    if body is None:
        lines += ["", "What the file says cannot be laid out for reading; look at the file itself."]
    else:
        for title, section in SECTIONS:
            found = list(section(body))
            lines += ["", heading(title, drill=drill), *(found or ["none"])]
    lines += ["", heading("Caution", drill=drill), *wrapped(CAUTION)]
    lines += [drill_band()] if drill else []
    return "\n".join(lines)


def _top(body: Body | None, verdict: Verdict, *, drill: bool) -> Iterator[str]:
    if drill:
        yield drill_band()
    yield "RECORD OF A DIVE"
    if body is not None:
        yield from wrapped(body.text("record", "title"))
    yield ""
    yield heading("Verdict and signatures", drill=drill)
    yield from _verdict(verdict)


def _verdict(verdict: Verdict) -> Iterator[str]:
    for line in report(verdict, "this file").splitlines():
        yield from wrapped(plain(line.strip()))
    for one in verdict.signatures:
        yield from wrapped(plain(f"{one.statement.name}: {one.statement.meaning}"), indent=3)
    yield from wrapped(f"SHA-256 of the file: {verdict.sha256}")


def _addenda(data: bytes, body: Body | None, verdict: Verdict, *, drill: bool) -> Iterator[str]:
    """Yield what was corrected after signing, before the sections that still show what was signed first."""
    found = [(one, added) for one in verdict.signatures for added in one.addenda]
    if not found or body is None:
        return
    yield ""
    yield heading("Addenda: read what follows with these corrections", drill=drill)
    for one, added in found:
        author = f"{one.statement.name}, {iso(added.at)}, signature {one.number}"
        yield from wrapped(plain(f"{added.corrects} stands as {_stands(data, added.corrects)}"))
        yield from wrapped(plain(f"to stand: {added.text}"), indent=3)
        yield from wrapped(plain(f"reason: {added.reason} ({author})"), indent=3)


def _stands(data: bytes, place: str) -> str:
    try:
        return what_stands(data, place)
    except RecordError:
        return "nothing in this record"
