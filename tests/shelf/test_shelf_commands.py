"""`station shelf` as it is typed: tables within 80 columns, JSON, exit codes."""

import json
import re
import sys
from datetime import timedelta

import pytest
from made_records import BEGUN, LASTS, Made, Maker, varied

from station.cli import main
from station.folder import Folder
from station.shelf.index import NAME

AT = ("--at", f"{BEGUN + timedelta(hours=20):%Y-%m-%dT%H:%MZ}")


class Station:
    """Runs commands on one folder."""

    def __init__(self, folder: Folder, capsys: pytest.CaptureFixture[str]) -> None:
        self.folder, self.capsys = folder, capsys
        self.err = ""

    def __call__(self, *words: str, code: int = 0) -> str:
        assert main(["shelf", *words, "--folder", str(self.folder.path)]) == code
        out, self.err = self.capsys.readouterr()
        too_long = [
            line for line in out.splitlines() if len(line) > 80 and not re.search(r"SHA256|\.toml", line)
        ]
        assert too_long == [] or "--json" in words
        return out

    def json(self, *words: str, code: int = 0) -> dict[str, object]:
        found = json.loads(self(*words, "--json", code=code))
        assert isinstance(found, dict)
        return found


@pytest.fixture
def station(filled: Folder, capsys: pytest.CaptureFixture[str]) -> Station:
    return Station(filled, capsys)


def test_find(station: Station) -> None:
    out = station("find", "--no-drill", "--deviation")
    lines = out.splitlines()
    assert lines[0].split() == ["day", "diver", "place", "fsw", "min", "schedule", "grp", "dev", "verdict"]
    assert lines[1].split()[:2] == ["2030-01-02", "edda-lunn"] or "wyn-farrow" in lines[1]
    assert "deviations: delay before the first stop" in out
    assert "2 of 6 files on the shelf." in out
    assert "DRILL" in station("find", "--drill")
    assert station("find", "--place", "nowhere").startswith("0 of 6")
    assert station("find", "--deeper", "30 msw", "--shallower", "101 fsw").count("sound") >= 1


def test_depth_is_rounded_up_and_said_so(station: Station) -> None:
    out = station("find", "--deeper", "100")
    assert " 101 " in out
    assert "rounded up" in out
    found = station.json("find", "--deeper", "100")["found"]
    assert isinstance(found, list)
    assert {one["depth_fsw"] for one in found} == {100.5}


def test_find_takes_words_that_are_right(station: Station) -> None:
    for words in (["--from", "May"], ["--deeper", "deep"], ["--to", "2031-13-01"]):
        station("find", *words, code=2)


def test_a_bad_record_is_listed_with_its_sentence(station: Station) -> None:
    path = min(station.folder.records.glob("*.toml"))
    path.write_bytes(path.read_bytes().replace(b"calm", b"mild", 1))
    out = station("find", "--unsound")
    assert "ALTERED" in out
    assert "does not match" in out
    assert path.name in out
    out = station("check", code=6)
    assert f"{path.name}: altered or damaged" in out
    assert re.search(r"^sound +5$", out, re.MULTILINE)
    found = station.json("check", "--jobs", "2", code=6)
    assert found["summary"] == {"sound": 5, "altered or damaged": 1}


def test_diver(station: Station) -> None:
    out = station("diver", "jona-strand", *AT)
    assert out.startswith("Jona Strand (jona-strand)\n")
    assert "surface interval" in out
    assert re.search(r"^all +1 +0:43", out, re.MULTILINE)
    assert "Not in the totals: drills 1." in out
    found = station.json("diver", "Jona Strand", *AT)
    assert found["drills"] == 1
    assert found["interval_min"] == int((timedelta(hours=20) - LASTS).total_seconds()) // 60
    station("diver", "nobody", code=3)
    assert "a diver is known by id or full name" in station.err


def test_now(station: Station) -> None:
    out = station("now", *AT)
    assert [line.split()[0] for line in out.splitlines()[2:5]] == ["edda-lunn", "jona-strand", "wyn-farrow"]
    found = station.json("now", *AT)["divers"]
    assert isinstance(found, list)
    assert len(found) == 3
    for words in (["--at", "noon"], ["--at", "2031-05-04T12:00"]):
        station("now", *words, code=2)


def test_now_names_doubts(station: Station, maker: Maker) -> None:
    stranger = Maker(maker.template)
    stranger.put(station.folder.records, varied(7))
    (station.folder.records / "note.toml").write_bytes(b"x = 1\n")
    out = station("now", "--at", f"{varied(8).started:%Y-%m-%dT%H:%MZ}")
    assert "DOUBT: " in out
    (row,) = [line for line in out.splitlines() if line.startswith("wyn-farrow")]
    assert "may fly" not in row
    assert "DOUBT, ask" in row
    assert " ? " in row
    (other,) = [line for line in out.splitlines() if line.startswith("edda-lunn")]
    assert "DOUBT" not in other
    assert "not on the list" in " ".join(out.split())
    assert "DOUBT: files that do not tell whose dive they are of: 1" in out


def test_retention(station: Station) -> None:
    out = station("retention", "--at", "2040-01-01T00:00Z", "--over")
    assert out.count("may be discarded") == 7
    assert "29 CFR 1910.440(b)(3)" in out
    assert "Nothing is discarded here" in " ".join(out.split())
    records = station.json("retention", *AT)["records"]
    assert isinstance(records, list)
    assert {one["may_be_discarded"] for one in records} == {False}
    assert len(list(station.folder.records.glob("*.toml"))) == 6


def test_check_of_a_shelf_that_is_sound(station: Station) -> None:
    assert "through again: 6; --whole goes through it" in " ".join(station("check", "--jobs", "1").split())
    assert "--whole" not in station("check", "--whole", "--jobs", "1")
    for jobs in ("0", "65", "two"):
        station("check", "--jobs", jobs, code=2)


def test_a_file_out_of_reach_has_its_own_exit_code(station: Station) -> None:
    (station.folder.records / "gone.toml").symlink_to("nowhere")
    assert "gone.toml: cannot be read" in station("check", code=3)


def test_rebuild(station: Station) -> None:
    (station.folder.records / NAME).write_bytes(b"not a database, for all that anybody knows" * 9)
    assert station.json("rebuild") == {"files": 6}
    assert station.err == ""
    assert station("rebuild").split()[-1] == "6"


def test_a_list_named_apart_leaves_the_index_as_it_is(station: Station, maker: Maker) -> None:
    station("find")
    before = (station.folder.records / NAME).read_bytes()
    other = station.folder.path / "others"
    other.write_text(Maker(maker.template).list_of_signers(), encoding="utf-8")
    assert "UNLISTED" in station("find", "--signers", str(other))
    assert "6 of 6 files on the shelf, 6 not sound." in station("find", "--signers", str(other))
    assert (station.folder.records / NAME).read_bytes() == before


def test_without_records(station: Station, capsys: pytest.CaptureFixture[str]) -> None:
    empty = station.folder.path / "empty"
    assert main(["shelf", "find", "--folder", str(empty)]) == 8
    assert "there are no records yet" in capsys.readouterr().err


def test_a_bar_on_a_terminal_alone(station: Station, monkeypatch: pytest.MonkeyPatch) -> None:
    station("check")
    assert station.err == ""
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    station("check")
    assert "verifying [##############################] 6 of 6" in station.err
    assert station.err.endswith("\r\x1b[K")


def test_names_that_a_terminal_cannot_bear(
    folder: Folder, maker: Maker, capsys: pytest.CaptureFixture[str]
) -> None:
    station = Station(folder, capsys)
    made = Made(place="Tarn\\u001b[31m " + "wide " * 20)
    maker.put(folder.records, made, "evil\x1b[31m.toml")
    out = station("find")
    assert "~" in out
    path = folder.records / "evil\x1b[31m.toml"
    path.write_bytes(path.read_bytes().replace(b"calm", b"mild", 1))
    out += station("find") + station("retention") + station("check", code=6) + station("now", *AT)
    assert "\x1b" not in out
