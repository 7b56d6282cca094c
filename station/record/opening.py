"""The first look at a record: its text, its opening lines and its version; and what a look can come to."""

from enum import StrEnum
from typing import Final

from station.record import signed

_BOM: Final = b"\xef\xbb\xbf"
_CARRIAGE_RETURN: Final = b"\r"


class Status(StrEnum):
    """What a record is, in one or two words."""

    SOUND = "sound"
    ALTERED = "altered or damaged"
    UNLISTED = "signed by someone not listed"
    UNSIGNED = "not yet signed"
    NEWER = "made by a newer version"
    NOT_A_RECORD = "not a record"


class Flaw(Exception):  # noqa: N818 - never leaves the verification
    """What is wrong: the status, one sentence, and the bytes that hold the change where that is known."""

    def __init__(self, status: Status, sentence: str, altered: tuple[int, int] | None = None) -> None:
        super().__init__(sentence)
        self.status, self.sentence, self.altered = status, sentence, altered


def check_text(data: bytes) -> None:
    """Raise a Flaw when the bytes are not the text of a record."""
    if not data:
        raise Flaw(Status.NOT_A_RECORD, "it is empty")
    known = data.removeprefix(_BOM).startswith(b"[record]") or b"\n[[signature]]" in data
    status = Status.ALTERED if known else Status.NOT_A_RECORD
    if data.startswith(_BOM):
        raise Flaw(status, "it begins with a byte order mark; records are plain UTF-8")
    if (at := data.find(_CARRIAGE_RETURN)) >= 0:
        line = signed.line_of(data, at)
        raise Flaw(status, f"line {line} holds a carriage return; records end their lines with LF alone")
    try:
        data.decode("utf-8")
    except UnicodeDecodeError as error:
        raise Flaw(status, f"byte {error.start + 1} is not UTF-8 text") from None
    if not signed.OPENING.match(data):
        raise Flaw(status, "it does not begin with the lines [record] and format = N, as records do")


def check_version(data: bytes) -> None:
    """Raise a Flaw when the record is in a version that is not known."""
    opening = signed.OPENING.match(data)
    version = int(opening[1]) if opening else 0
    if version > signed.FORMAT:
        raise Flaw(
            Status.NEWER,
            f"it is in format {version}, and this program knows formats up to {signed.FORMAT}; "
            "nothing in it was checked",
        )
    if version < 1:
        raise Flaw(Status.ALTERED, f"it says it is in format {version}, which never was")
