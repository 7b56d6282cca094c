"""Earlier dives among the records on the shelf, read back as they count for the next dive."""

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import pytest

from station.errors import RecordError
from station.events import EarlierStated, stamp
from station.folder import Folder
from station.record.recorded import RecordedDive, recorded_dive
from station.record.signed import split
from station.shelf.earlier import LOOK_BACK, earlier_on_shelf, sound_dives

if TYPE_CHECKING:
    from tests.drill.conftest import Ran

SURFACED = datetime(2031, 5, 4, 8, 34, 20, tzinfo=UTC)
NOON = datetime(2031, 5, 4, 12, 0, tzinfo=UTC)


def found(
    ran: "Ran", diver: str = "jona-strand", name: str = "", now: datetime = NOON, *, drill: bool = True
) -> list[RecordedDive]:
    return earlier_on_shelf(Folder(ran.record.parents[1]), diver, name, now, drill=drill)


def test_the_dive_of_a_record(shipped_drill: "Ran") -> None:
    """110/35, group M: 107 fsw, 34 min, surfaced 08:34:20."""
    one = recorded_dive(shipped_drill.record.read_bytes(), shipped_drill.record.name)
    assert (one.diver, one.diver_name, one.surfaced, one.group) == (
        "jona-strand",
        "Jona Strand",
        SURFACED,
        "M",
    )
    assert (one.depth_fsw, one.bottom_min, one.added_min, one.exceptional) == (107, 34, 0, False)
    event = EarlierStated(lane=1, **one.fields(), **stamp(NOON, "tam-belcourt", "timekeeper"))
    assert (event.record, event.surfaced) == (shipped_drill.record.name, SURFACED)


def test_the_shelf_knows_a_diver_by_id_or_name(shipped_drill: "Ran") -> None:
    assert [one.group for one in found(shipped_drill)] == ["M"]
    assert len(found(shipped_drill, "js", "jona strand")) == 1
    assert found(shipped_drill, "wyn-farrow", "Wyn Farrow") == []


def test_only_dives_that_may_count(shipped_drill: "Ran") -> None:
    assert found(shipped_drill, now=SURFACED + LOOK_BACK) != []
    assert found(shipped_drill, now=SURFACED + LOOK_BACK + timedelta(seconds=1)) == []
    assert found(shipped_drill, now=SURFACED - timedelta(seconds=1)) == []
    assert found(shipped_drill, drill=False) == []


def test_a_record_that_is_not_sound_is_left_out(
    shipped_drill: "Ran", tmp_path_factory: pytest.TempPathFactory
) -> None:
    folder = Folder(tmp_path_factory.mktemp("shelf")).prepare()
    data = shipped_drill.record.read_bytes()
    (folder.records / "2031-05-04-changed.toml").write_bytes(data.replace(b"Jona Strand", b"Jona Strans", 1))
    (folder.records / "2031-05-04-no-record.toml").write_bytes(b"x = 1\n")
    assert earlier_on_shelf(folder, "jona-strand", "Jona Strand", NOON, drill=True) == []
    with pytest.raises(RecordError, match=r"no-record.toml is not the record of a finished dive"):
        recorded_dive(b"x = 1\n", "no-record.toml")


def test_a_record_that_lacks_signatures_is_offered_and_says_so(
    shipped_drill: "Ran", tmp_path_factory: pytest.TempPathFactory
) -> None:
    """The dive was made, whoever has still to sign: left out, the next one would count as a single one."""
    folder = Folder(tmp_path_factory.mktemp("shelf")).prepare()
    body = split(shipped_drill.record.read_bytes()).body
    (folder.records / "2031-05-04-unsigned.toml").write_bytes(body)
    (one,) = earlier_on_shelf(folder, "jona-strand", "Jona Strand", NOON, drill=True)
    assert (one.surfaced, one.group) == (SURFACED, "M")
    assert one.title.endswith(", NOT YET SIGNED BY ALL")
    assert one.fields()["reason"].endswith("NOT YET SIGNED BY ALL")
    assert sound_dives(folder.records.glob("*.toml"), None, NOON) == []
