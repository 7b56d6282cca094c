"""A diver's log and totals, where divers stand now, how long records are kept, and the check of the whole."""

from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest
from made_records import BEGUN, LASTS, Made, Maker, varied

from station.folder import Folder
from station.record.signed import Addendum, Declaration
from station.record.signing import add_signature
from station.setup import load_setup
from station.shelf import index
from station.shelf.check import check
from station.shelf.diver import Log, Rules, Standing, divers_of_late, log_of, standing
from station.shelf.earlier import signers_of
from station.shelf.query import Query
from station.shelf.retention import Retention, retention
from station.shelf.shelf import Shelf

SETUP = load_setup(None)
(TABLES_SHA256,) = (use.sha256 for use in SETUP.uses if use.role == "tables")
RULES = Rules(SETUP.tables, TABLES_SHA256, SETUP.station.choices, 0)
UP = BEGUN + LASTS


def stands(folder: Folder, now: datetime, diver: str = "jona-strand", rules: Rules = RULES) -> Standing:
    with Shelf.open(folder.records, signers_of(folder), tell=pytest.fail) as shelf:
        return standing(shelf, rules, shelf.find(Query(diver=diver)), now)


def log(folder: Folder, diver: str = "jona-strand") -> Log:
    with Shelf.open(folder.records, signers_of(folder), tell=pytest.fail) as shelf:
        return log_of(shelf.find(Query(diver=diver)))


def test_group_and_interval_now(folder: Folder, maker: Maker) -> None:
    """Group H is F from 1:45 to 2:37, and none is left a day later: USN Rev 7, Table 9-8."""
    maker.put(folder.records, Made(group="H"))
    one = stands(folder, UP + timedelta(hours=2, seconds=59))
    assert (one.interval_min, one.group_now) == (120, "F")
    assert one.last is not None
    assert (one.last.surfaced, one.last.group) == (UP, "H")
    assert one.residual is not None
    assert one.residual.kind == "repetitive"
    late = stands(folder, UP + timedelta(hours=24))
    assert late.residual is not None
    assert (late.residual.kind, late.group_now, late.doubts) == ("not repetitive", None, ())


def test_a_short_interval_leaves_all_of_the_group(folder: Folder, maker: Maker) -> None:
    """An interval under ten minutes is ignored: NOAA, US Navy Tables, Part Three."""
    maker.put(folder.records, Made(group="H"))
    one = stands(folder, UP + timedelta(minutes=9))
    assert one.residual is not None
    assert (one.residual.kind, one.group_now) == ("one dive", "H")


def test_without_a_group_the_diver_is_blocked(folder: Folder, maker: Maker) -> None:
    maker.put(folder.records, Made(group="none printed", exceptional=True))
    one = stands(folder, UP + timedelta(hours=2))
    assert one.residual is not None
    assert (one.residual.kind, one.group_now) == ("blocked", None)


def test_the_latest_dive_counts(folder: Folder, maker: Maker) -> None:
    maker.put(folder.records, Made(group="H"))
    maker.put(folder.records, Made(group="C").later(hours=5))
    one = stands(folder, UP + timedelta(hours=6))
    assert one.last is not None
    assert one.last.group == "C"
    assert len(one.counted) == 2


def test_no_flying_before(folder: Folder, maker: Maker) -> None:
    """Group H and a rise of 8,000 ft: USN Rev 7, Table 9-6, as the record's own words have it."""
    maker.put(folder.records, Made(group="H"))
    one = stands(folder, UP + timedelta(hours=1))
    assert one.flying.kind == "wait"
    assert one.flying.wait_min is not None
    assert one.flying.until == UP + timedelta(minutes=one.flying.wait_min)
    assert (one.flying.group, one.flying.listed_rise_ft) == ("H", 8000)


def test_drills_never_count(folder: Folder, maker: Maker) -> None:
    maker.put(folder.records, Made(drill=True))
    assert stands(folder, UP + timedelta(hours=1)).last is None
    found = log(folder)
    assert (found.totals.dives, found.drills) == (0, 1)
    with Shelf.open(folder.records, tell=pytest.fail) as shelf:
        assert divers_of_late(shelf, UP) == []


def damaged(data: bytes) -> bytes:
    return data.replace(b"calm", b"mild", 1)


def lighter(data: bytes) -> bytes:
    return data.replace(b'group_after = "H"', b'group_after = "A"', 1)


def unsigned(data: bytes) -> bytes:
    return data[: data.rindex(b"\n[[statement]]")]


@pytest.mark.parametrize("harm", [damaged, lighter, unsigned])
def test_a_bad_record_is_named_and_never_counts(folder: Folder, maker: Maker, harm: object) -> None:
    assert callable(harm)
    maker.put(folder.records, Made(group="C"))
    later = Made(group="H").later(hours=3)
    bad = maker.put(folder.records, later)
    bad.write_bytes(harm(bad.read_bytes()))
    one = stands(folder, UP + timedelta(hours=4))
    assert one.last is not None
    assert (one.last.group, len(one.counted)) == ("C", 1)
    (doubt,) = one.doubts
    assert doubt.startswith(f"{later.name} is not counted: ")
    assert len(doubt) > len(f"{later.name} is not counted: ")
    found = log(folder)
    assert (found.totals.dives, len(found.unsound)) == (1, 1)


def test_who_is_not_listed_does_not_count(folder: Folder, maker: Maker) -> None:
    stranger = Maker(maker.template)
    stranger.put(folder.records, Made(group="C"))
    one = stands(folder, UP + timedelta(hours=1))
    assert one.last is None
    assert "is not on the list of allowed signers" in one.doubts[0]


def test_what_the_index_says_is_not_believed_for_the_next_dive(folder: Folder, maker: Maker) -> None:
    """A group changed in the index, whatever changed it, does not reach the diver."""
    maker.put(folder.records, Made(group="H"))
    with Shelf.open(folder.records, signers_of(folder), tell=pytest.fail) as shelf:
        (entry,) = shelf.find(Query())
        assert entry.dive is not None
        wrong = replace(entry, dive=replace(entry.dive, group="A"))
        one = standing(shelf, RULES, [wrong], UP + timedelta(hours=2))
    assert one.last is not None
    assert one.last.group == "H"


def test_a_dive_to_come_is_a_doubt(folder: Folder, maker: Maker) -> None:
    maker.put(folder.records, Made())
    one = stands(folder, BEGUN)
    assert one.last is None
    assert "after 2030-01-01T08:00:00.000Z" in one.doubts[0]


def test_other_tables_are_a_doubt(folder: Folder, maker: Maker) -> None:
    maker.put(folder.records, Made())
    one = stands(folder, UP + timedelta(hours=1), rules=replace(RULES, tables_sha256="0" * 64))
    assert one.last is not None
    assert "another table file" in one.doubts[0]


def test_totals_by_hand(folder: Folder, maker: Maker) -> None:
    """Three dives of 43 min, one of them in the year after, one file twice."""
    maker.put(folder.records, Made(depth_fsw=42.0))
    maker.put(folder.records, Made(depth_fsw=100.5).later(days=40))
    last = Made(depth_fsw=59.0).later(days=400)
    path = maker.put(folder.records, last)
    (folder.records / "copy.toml").write_bytes(path.read_bytes())
    found = log(folder, "JONA STRAND")
    total = found.totals
    assert (total.dives, total.bottom_min, total.deepest_fsw, total.last) == (3, 129, 100.5, last.finished)
    assert found.twice == 1
    assert {year: one.dives for year, one in found.by_year.items()} == {2031: 1, 2030: 2}


def test_every_diver_of_late(folder: Folder, maker: Maker) -> None:
    for number in range(6):
        maker.put(folder.records, varied(number))
    with Shelf.open(folder.records, signers_of(folder), tell=pytest.fail) as shelf:
        found = divers_of_late(shelf, BEGUN + timedelta(days=3))
        assert [one[0].dive.diver for one in found if one[0].dive] == [
            "edda-lunn",
            "jona-strand",
            "wyn-farrow",
        ]
        assert divers_of_late(shelf, BEGUN + timedelta(days=60)) == []


def kept(folder: Folder) -> list[Retention]:
    with Shelf.open(folder.records, signers_of(folder), tell=pytest.fail) as shelf:
        return [retention(one, SETUP.authorities) for one in shelf.each()]


def test_records_are_kept_a_year_and_five_after_sickness(folder: Folder, maker: Maker) -> None:
    """29 CFR 1910.440(b)(3)(iv): one year, five where there was decompression sickness."""
    maker.put(folder.records, Made(keep_until="2030-06-01"), "a.toml")
    maker.put(folder.records, Made(sickness=True).later(days=1), "b.toml")
    maker.put(folder.records, Made(keep_until="2044-01-01").later(days=2), "c.toml")
    first, second, third = kept(folder)
    assert first.until == date(2031, 1, 1)
    assert first.paragraph.startswith("29 CFR 1910.440(b)(3)")
    assert second.until is not None
    assert second.until >= date(2035, 1, 2)
    assert third.until == date(2044, 1, 1)
    assert not first.may_go(date(2031, 1, 1))
    assert first.may_go(date(2031, 1, 2))


def test_what_is_not_sound_is_kept(folder: Folder, maker: Maker) -> None:
    path = maker.put(folder.records, Made())
    path.write_bytes(damaged(path.read_bytes()))
    (one,) = kept(folder)
    assert one.until is None
    assert not one.may_go(date(2999, 1, 1))
    assert "not sound" in one.paragraph


def test_sickness_told_after_signing_keeps_the_record_longer(folder: Folder, maker: Maker) -> None:
    made = Made()
    at = made.finished + timedelta(hours=30)
    addendum = Addendum(
        corrects="sickness.suspected", text="true", reason="Pain in the elbow", by="ines-oyelaran", at=at
    )
    who = Declaration(
        person="ines-oyelaran", name="Ines Oyelaran", role="supervisor", at=at, meaning="It is true."
    )
    data = add_signature(maker.record(made), who, maker.supervisor, [addendum])
    (folder.records / made.name).write_bytes(data)
    (one,) = kept(folder)
    assert one.until is not None
    assert one.until >= date(2035, 1, 1)


@pytest.mark.parametrize("jobs", [1, 2])
@pytest.mark.parametrize("whole", [False, True])
def test_the_check_finds_what_the_index_did_not_see(
    folder: Folder, maker: Maker, monkeypatch: pytest.MonkeyPatch, jobs: int, *, whole: bool
) -> None:
    """A byte changed behind the index's back: by the time of the check every file is read again."""
    monkeypatch.setattr("station.shelf.scan.SETTLES_NS", -1)
    paths = [maker.put(folder.records, varied(number)) for number in range(3)]
    with Shelf.open(folder.records, signers_of(folder), tell=pytest.fail) as shelf:
        assert [one.status for one in check(shelf, whole=whole, jobs=jobs)] == ["sound"] * 3
        assert {one.remembered for one in check(shelf, whole=whole, jobs=jobs)} == {not whole}
        paths[1].write_bytes(damaged(paths[1].read_bytes()))
        paths[2].unlink()
        found = list(check(shelf, whole=whole, jobs=jobs))
    assert [one.status for one in found] == ["sound", "altered or damaged", "cannot be read"]
    assert [one.name for one in found] == [path.name for path in paths]
    assert not found[1].remembered


def test_content_that_is_wrong_is_never_remembered_as_right(folder: Folder, maker: Maker) -> None:
    """Signed by both, yet its journal does not hold: found when it is read, and at every check."""
    made = Made()
    body = maker.body(made).replace(b"calm", b"mild", 2)
    data = maker.sign(maker.sign(body, "timekeeper", made), "supervisor", made)
    (folder.records / made.name).write_bytes(data)
    with Shelf.open(folder.records, signers_of(folder), tell=pytest.fail) as shelf:
        for whole in (False, True):
            (one,) = check(shelf, whole=whole)
            assert (one.status, one.remembered) == ("altered or damaged", False)
            assert "the chain breaks" in one.problem


def test_the_check_holds_records_against_the_list(folder: Folder, maker: Maker) -> None:
    Maker(maker.template).put(folder.records, Made())
    with Shelf.open(folder.records, signers_of(folder), tell=pytest.fail) as shelf:
        (one,) = check(shelf)
    assert one.status == "signed by someone not listed"


def test_memory_holds_a_few_at_a_time(folder: Folder, maker: Maker, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(index, "BATCH", 2)
    for number in range(7):
        maker.put(folder.records, varied(number))
    steps: list[tuple[int, int]] = []
    with Shelf.open(
        folder.records, tell=pytest.fail, progress=lambda done, total: steps.append((done, total))
    ) as shelf:
        assert [one.name for one in shelf.each(2)] == sorted(path.name for path in _records(folder))
    assert steps == [(2, 7), (4, 7), (6, 7), (7, 7)]


def _records(folder: Folder) -> list[Path]:
    return list(folder.records.glob("2*.toml"))
