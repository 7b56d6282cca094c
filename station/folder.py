"""The folder a station keeps its files in: journals, records, keys, and who may sign.

Nothing is written anywhere else. The user names it; the platform's data folder is the default.
"""

import os
import re
import unicodedata
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from station.errors import StorageError

VARIABLE = "STATION_FOLDER"


@dataclass(frozen=True)
class Folder:
    """One station's files."""

    path: Path

    @property
    def journals(self) -> Path:
        """Return where the operations' journals stand."""
        return self.path / "journals"

    @property
    def records(self) -> Path:
        """Return where signed records stand."""
        return self.path / "records"

    @property
    def keys(self) -> Path:
        """Return where signing keys stand."""
        return self.path / "keys"

    @property
    def allowed_signers(self) -> Path:
        """Return the list of who may sign, in the form ssh-keygen reads."""
        return self.path / "allowed_signers"

    def prepare(self) -> "Folder":
        """Create what is missing; StorageError when that cannot be done."""
        try:
            for place in (self.journals, self.records, self.keys):
                place.mkdir(parents=True, exist_ok=True)
            self.keys.chmod(0o700)
        except (OSError, ValueError) as error:
            why = getattr(error, "strerror", None) or "no folder can have this name"
            raise StorageError(f"{self.path}: cannot be used as the station's folder: {why}") from None
        return self

    @property
    def pages(self) -> Path:
        """Return where pages of the screen are saved; made with the first of them."""
        return self.path / "pages"

    def save_page(self, name: str, now: datetime, text: str) -> Path:
        """Write a page of the screen to a new file; nothing is ever written over.

        Raises:
            StorageError: it cannot be written whole; no part of it is left behind.

        """
        wanted = self.pages / f"{now:%Y-%m-%d-%H%M%S}-{slug(name)}.txt"
        try:
            self.pages.mkdir(parents=True, exist_ok=True)
            return _written_anew(wanted, text.encode())
        except OSError as error:
            why = error.strerror or type(error).__name__
            raise StorageError(f"{wanted}: the page cannot be saved: {why}") from None

    def new_journal(self, title: str, start: datetime) -> Path:
        """Return a path for a new journal that does not exist yet."""
        return unused(self.journals / f"{start:%Y-%m-%d}-{slug(title)}.journal")

    def latest_journal(self) -> Path | None:
        """Return the journal written to last, None when there is none."""
        found = sorted(self.journals.glob("*.journal"), key=lambda path: path.stat().st_mtime)
        return found[-1] if found else None

    def drill(self, title: str, now: datetime) -> "Folder":
        """Return a fresh folder inside this one for the files of one drill."""
        return Folder(unused(self.path / "drills" / f"{now:%Y-%m-%d-%H%M%S}-{slug(title)}"))


def choose_folder(named: str | None) -> Folder:
    """Return the folder named on the command line, else by the environment, else the platform's own."""
    name = named or os.environ.get(VARIABLE)
    if name:
        try:
            return Folder(Path(name).expanduser())
        except RuntimeError:
            raise StorageError(f"{name}: no such person has a home folder here; write the path out") from None
    from platformdirs import user_data_path  # noqa: PLC0415 - only when nobody named a folder

    return Folder(user_data_path("dive-station-console", appauthor=False))


def _written_anew(wanted: Path, data: bytes) -> Path:
    """Write a file that is not there yet, under the wanted name or the next free one, whole or not at all."""
    while True:
        path = unused(wanted)
        try:
            file = path.open("xb")
        except FileExistsError:
            continue
        try:
            with file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
        except OSError:
            path.unlink(missing_ok=True)
            raise
        return path


def slug(words: str) -> str:
    """Return words as a short file name part: lower case, digits and hyphens."""
    return re.sub(r"[^a-z0-9]+", "-", words.lower()).strip("-")[:40].strip("-") or "operation"


def person_id(name: str) -> str:
    """Return the id of a person, made of the name alone, so that it is the same in every operation.

    Letters from a to z lose their accents; all others are written in Punycode (RFC 3492), so that people with
    other names have other ids. "" for a name without a letter or a digit.
    """
    plain = "".join(map(_without_accent, unicodedata.normalize("NFKC", name.casefold())))
    words = re.sub(r"[\W_]+", "-", plain).strip("-")
    return slug(words if words.isascii() else words.encode("punycode").decode("ascii")) if words else ""


def _without_accent(letter: str) -> str:
    parts = unicodedata.normalize("NFKD", letter)
    bare = "".join(part for part in parts if not unicodedata.combining(part))
    return bare if bare.isascii() else letter


def unused(path: Path) -> Path:
    """Return the path itself, or with a number before its ending when it is taken."""
    candidate, number = path, 2
    while candidate.exists():
        candidate = path.with_name(f"{path.stem}-{number}{path.suffix}")
        number += 1
    return candidate
