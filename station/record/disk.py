"""New files that are whole or absent, and files replaced in one step.

Nothing half-written is left behind: a file either stands with all its bytes on the disk, or not at all.
"""

import contextlib
import fcntl
import os
import stat
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from station.errors import StorageError
from station.files import read_bytes

PRIVATE: Final = 0o600
PUBLIC: Final = 0o644


def create(path: Path, data: bytes, mode: int = PUBLIC) -> None:
    """Write a new file; StorageError when one stands there already or it cannot be written in full."""
    with _explained(path):
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode)
        try:
            _write_out(handle, data)
        except BaseException:
            path.unlink()
            raise
        _sync_folder(path)


def replace(path: Path, old: bytes, new: bytes) -> None:
    """Put `new` in place of `old` in one step.

    StorageError when the file no longer holds `old`, because somebody else wrote to it in between, or when
    the new bytes cannot be written in full. In both cases the file is left as it was.
    """
    with _explained(path), _folder_lock(path):
        if read_bytes(path) != old:
            raise StorageError(f"{path} was changed by somebody else meanwhile; look at it and try again")
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
        try:
            os.fchmod(handle, stat.S_IMODE(path.stat().st_mode))
            _write_out(handle, new)
            Path(name).replace(path)
        except BaseException:
            Path(name).unlink()
            raise
        _sync_folder(path)


def _write_out(handle: int, data: bytes) -> None:
    with open(handle, "wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


@contextlib.contextmanager
def _explained(path: Path) -> Iterator[None]:
    try:
        yield
    except FileExistsError:
        raise StorageError(f"{path} exists already and is not overwritten; choose another name") from None
    except FileNotFoundError:
        raise StorageError(f"{path} cannot be written: its folder does not exist") from None
    except OSError as error:
        raise StorageError(f"{path} cannot be written: {error.strerror}") from None


@contextlib.contextmanager
def _folder_lock(path: Path) -> Iterator[None]:
    handle = os.open(path.parent, os.O_RDONLY)
    try:
        with contextlib.suppress(OSError):  # a network share may have no locks; the comparison remains
            fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)


def _sync_folder(path: Path) -> None:
    handle = os.open(path.parent, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
