"""Prints of a record on the disk: whole or absent, and never in the place of a record."""

from pathlib import Path
from typing import Final, Literal

from station.errors import StorageError
from station.files import read_bytes
from station.record import disk

Paper = Literal["a4", "letter"]

_RECORD: Final = b"[record]\n"


def put(path: Path, data: bytes, *, over: bool) -> None:
    """Write a print; with `over`, in place of an earlier one.

    Raises:
        StorageError: something stands there that may not be written over, or the disk is full or read-only.

    """
    if not path.exists():
        disk.create(path, data)
        return
    if not over:
        raise StorageError(
            f"{path} exists already and is not overwritten; choose another name, or add --force"
        )
    old = read_bytes(path)
    if old.startswith(_RECORD):
        raise StorageError(f"{path} is a record, and a record is never written over; choose another name")
    disk.replace(path, old, data)
