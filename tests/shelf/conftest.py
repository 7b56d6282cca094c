"""A maker of records from one short dive, played once, and shelves filled by it."""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from made_records import Maker, varied

from station.folder import Folder
from station.shelf.earlier import signers_of
from station.shelf.shelf import Shelf

if TYPE_CHECKING:
    from tests.conftest import PlayedDrills


@pytest.fixture(scope="session")
def maker(played_drills: "PlayedDrills") -> Maker:
    """Return a maker whose template is the shipped no-stop dive."""
    (record,) = played_drills("ossary-dam/rack-look-over").records
    return Maker.of(record.read_bytes())


@pytest.fixture
def folder(tmp_path: Path, maker: Maker) -> Folder:
    """Return a station's folder with its list of signers and no records."""
    found = Folder(tmp_path / "station").prepare()
    found.allowed_signers.write_text(maker.list_of_signers(), encoding="utf-8")
    return found


@pytest.fixture
def filled(folder: Folder, maker: Maker) -> Folder:
    """Return a folder with six records."""
    for number in range(6):
        maker.put(folder.records, varied(number))
    return folder


@pytest.fixture
def told() -> list[str]:
    """What the shelf said."""
    return []


@pytest.fixture
def shelf(filled: Folder, told: list[str]) -> Iterator[Shelf]:
    """Return the shelf of six records, open."""
    with Shelf.open(filled.records, signers_of(filled), tell=told.append) as found:
        yield found
