"""What the law asks for on the board: duties noted, gaps explained before closing, the observation after."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from station.board.entry_words import entry_words
from station.board.facts import live
from station.board.law import all_gaps, circumstances, open_gaps, record_kept
from station.dive.schedule import NoSchedule
from station.law.asked import PLACE_UNNAMED
from station.law.model import load_authority
from station.shipped import shipped

if TYPE_CHECKING:
    from station.board.state import Board
    from station.events import Event
    from station.setup import Setup
    from tests.board.conftest import Bench

BenchAt = Callable[[str], "Bench"]
BenchOf = Callable[[Sequence["Event"], str], "Bench"]
CLOSED = "dive.closed"
WELL: dict[str, Any] = {"lane": 1, "condition_after": "well"}
ONSET: dict[str, Any] = {
    "symptoms": "pain in the left knee",
    "onset": "2031-06-03T08:36:00.000Z",
    "onset_fsw": 0.0,
}
CONDITIONS = [f"conditions.{one}" for one in ("visibility", "water_temperature_c", "current", "surface")]


def keys(board: "Board") -> list[str]:
    return [gap.key for gap in open_gaps(board, board.lanes[1], board.log[-1].at)]


def explain(bench: "Bench", *names: str) -> None:
    for key in names:
        bench.enter("gap.explained", "sela", lane=1, key=key, words="the book fell into the water")


class TestGaps:
    def test_a_dive_is_closed_over_a_gap_only_with_words_on_it(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:39:00")
        assert keys(bench.board) == CONDITIONS
        said = bench.refusal(CLOSED, "sela", **WELL)
        assert "(29 CFR 1910.423(d)(1)(v)): enter it, or say in words why it is missing" in said
        explain(bench, *CONDITIONS[:3])
        assert bench.refusal(CLOSED, "sela", **WELL).endswith(" missing: conditions.surface")
        explain(bench, CONDITIONS[3])
        bench.enter(CLOSED, "sela", **WELL)
        assert bench.board.lanes[1].closed
        assert [gap.key for gap in all_gaps(bench.board, bench.board.lanes[1], live_of(bench))] == CONDITIONS

    def test_words_on_what_is_not_missing_are_refused(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:41:00")
        said = bench.refusal("gap.explained", "sela", lane=1, key="dive.mode", words="x")
        assert said == "lane 1: dive.mode is not missing; what is asked for and missing: nothing"

    @pytest.mark.parametrize(
        ("kind", "fields", "what"),
        [
            ("gap.explained", {"key": CONDITIONS[0], "words": "x"}, "explaining what is missing on a record"),
            ("planning.checked", {"items": ["mode"]}, "noting the planning of a dive"),
            ("briefing.done", {"items": ["tasks"], "people": ["joni"]}, "noting a briefing"),
            ("casualty.noted", {"what": "injury", "circumstances": "x"}, "noting a death or an injury"),
        ],
    )
    def test_the_supervisor_says_so(
        self, bench_at: BenchAt, kind: str, fields: dict[str, Any], what: str
    ) -> None:
        said = bench_at("08:39:00").refusal(kind, lane=1, **fields)
        assert said == f"{what} is for the supervisor alone; Tomma Reis is not one"

    def test_withdrawn_words_leave_the_gap_open(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:39:00")
        explain(bench, *CONDITIONS)
        bench.withdraw(bench.find("gap.explained", key=CONDITIONS[1]))
        assert keys(bench.board) == [CONDITIONS[1]]

    def test_what_is_entered_later_is_no_gap_any_more(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:39:00")
        explain(bench, CONDITIONS[0])
        noted: dict[str, Any] = {
            "visibility": "3 ft",
            "water_temperature_c": 9.5,
            "current": "none",
            "surface": "calm",
        }
        bench.enter("conditions.noted", "sela", **noted)
        assert all_gaps(bench.board, bench.board.lanes[1], live_of(bench)) == ()

    def test_a_place_that_nobody_named_is_no_location(
        self, log: tuple["Event", ...], bench_of: BenchOf
    ) -> None:
        opening = log[0].model_copy(update={"place": PLACE_UNNAMED})
        bench = bench_of([opening, *log[1:-1]], "08:45:00")
        assert keys(bench.board) == ["station.place"]

    def test_a_depth_that_nobody_read_is_no_maximum_depth(
        self, log: tuple["Event", ...], bench_of: BenchOf
    ) -> None:
        bench = bench_of([one for one in log[:-1] if one.kind != "depth.read"], "08:45:00")
        assert keys(bench.board) == ["depth.maximum_fsw", "depth.readings"]

    def test_a_correction_may_not_open_a_gap_under_a_closed_dive(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:51:00")
        said = bench.not_withdrawn(bench.find("conditions.noted"))
        assert said.startswith("then the closing of lane 1 of 08:50:00 could not stand: ")


def live_of(bench: "Bench") -> Any:
    return live(bench.board, bench.board.lanes[1], bench.clock.now())


class TestSickness:
    def test_suspected_it_asks_for_the_third_list(self, bench_at: BenchAt) -> None:
        """29 CFR 1910.423(d)(3), from memory; kept 5 years by 1910.440(b)(3), read."""
        bench = bench_at("08:41:00")
        bench.enter("sickness.suspected", lane=1, **ONSET)
        assert keys(bench.board) == ["sickness.treatment"]
        assert "(29 CFR 1910.423(d)(3)(ii))" in bench.refusal(CLOSED, "sela", **WELL)
        bench.enter("sickness.treated", lane=1, treatment="oxygen at 60 fsw", results="free of pain")
        bench.enter(CLOSED, "sela", **WELL)
        kept = record_kept(bench.board, bench.board.lanes[1], live_of(bench))
        assert kept is not None
        assert kept.until.isoformat() == "2036-06-03"

    def test_the_card_that_is_for_it_says_so_too(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:41:00")
        bench.enter("card.opened", "sela", lane=1, card="bends-in-water")
        assert keys(bench.board) == ["sickness.symptoms", "sickness.treatment"]

    @pytest.mark.parametrize(
        ("onset", "words"),
        [
            ("2031-06-03T07:29:00.000Z", "cannot begin before the diver left the surface"),
            ("2031-06-03T08:59:00.000Z", "symptoms that began at 08:59:00 are entered after that"),
        ],
    )
    def test_an_onset_that_cannot_be(self, bench_at: BenchAt, onset: str, words: str) -> None:
        assert words in bench_at("08:41:00").refusal(
            "sickness.suspected", lane=1, **(ONSET | {"onset": onset})
        )


class TestDuties:
    def test_they_are_noted_by_the_items_of_the_rule_file(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:20:00")
        bench.enter("planning.checked", "sela", lane=1, items=["mode", "gas"])
        bench.enter("briefing.done", "sela", lane=1, items=["tasks"], people=["joni", "mara"])
        said = bench.refusal("planning.checked", "sela", lane=1, items=["tea"])
        assert said.startswith("the rule files in use have no item 'tea' for this (mode, conditions, gas, ")
        words = [entry_words(bench.board, event) for event in bench.board.log[-2:]]
        assert words[0] == "lane 1: planned: diving mode; breathing gas with its reserves"
        assert words[1].endswith(": the work to be done")

    def test_people_who_are_not_here_were_not_briefed(self, bench_at: BenchAt) -> None:
        said = bench_at("07:20:00").refusal(
            "briefing.done", "sela", lane=1, items=["tasks"], people=["ghost"]
        )
        assert said == "nobody with the id 'ghost' has joined the crew; enter the crew first"

    def test_the_diver_is_told_at_the_surface(self, bench_at: BenchAt) -> None:
        under, up = bench_at("08:20:00"), bench_at("08:36:00")
        assert "has not reached the surface" in under.refusal("diver.told", lane=1, items=["flying"])
        assert "has not reached the surface" in under.refusal("observation.ended", lane=1, text="well")
        up.enter("diver.told", lane=1, items=["flying", "observed"])

    def test_none_of_them_bars_the_dive(self, bench_at: BenchAt) -> None:
        assert not bench_at("08:49:00").board.lanes[1].law
        assert bench_at("08:51:00").board.lanes[1].closed


class TestObservation:
    def test_it_runs_from_the_surface_past_the_closing(self, bench_at: BenchAt) -> None:
        """29 CFR 1910.423(b)(2), read: 1 h after a dive outside the no-stop limits."""
        assert bench_at("08:20:00").lane().observation is None
        bench = bench_at("08:51:00")
        seen = bench.lane().observation
        assert seen is not None
        assert seen.left_s == 60 * 60 - (16 * 60 + 40)
        later = bench.go("09:34:20").lane().observation
        assert later is not None
        assert later.left_s == 0

    def test_it_ends_by_word(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:41:00")
        bench.enter("observation.ended", "sela", lane=1, text="well, goes to the hospital for a cut")
        assert bench.lane().observation is None

    def test_it_begins_on_leaving_the_chamber(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:03:41")
        bench.enter("gas.chosen", "sela", lane=1, gas="surface_oxygen", reason="rough water")
        bench.go("08:07:00").enter("mark.taken", lane=1, mark="reached_surface")
        bench.go("08:09:00").enter("chamber.marked", lane=1, mark="reached_chamber_depth", depth_fsw=50)
        seen = bench.lane().observation
        assert seen is not None
        assert (seen.begun, seen.left_s) == (None, None)


def test_a_made_up_authority_rules_the_closing(
    setup: "Setup", log: tuple["Event", ...], bench_of: BenchOf
) -> None:
    """Another country's list is a file: here it asks for what the diver was told, and nothing else."""
    path = shipped("configs") / "authorities" / "us-29-cfr-1910.toml"
    text = path.read_text("utf-8")
    asked = '[[asked]]\nparagraph = "7"\nwhat = "diver told"\nkeys = ["told.items"]\n'
    asked += 'when = ["always"]\nbasis = "read"\n'
    rest = text[text.index("# ---- Planning") :]
    ours = load_authority((text[: text.index("# ---- The record")] + asked + rest).encode(), "x.toml")
    bench = bench_of(log[:-1], "08:45:00")
    bench.watch.board = replace(bench.board, setup=replace(setup, authorities=(ours,)))
    assert "diver told (29 CFR 7)" in bench.refusal(CLOSED, "sela", **WELL)
    bench.enter("diver.told", lane=1, items=["flying"])
    bench.enter(CLOSED, "sela", **WELL)


def test_a_station_under_two_authorities_is_asked_by_both(
    setup: "Setup", log: tuple["Event", ...], bench_of: BenchOf
) -> None:
    """29 CFR 1910.423(d), from memory; 46 CFR 197.482(b), read; each paragraph is named once for a field."""
    path = shipped("configs") / "authorities" / "us-46-cfr-197.toml"
    both = (*setup.authorities, load_authority(path.read_bytes(), str(path)))
    bench = bench_of([one for one in log[:-1] if one.kind != "conditions.noted"], "08:45:00")
    bench.watch.board = replace(bench.board, setup=replace(setup, authorities=both))
    said = bench.refusal(CLOSED, "sela", **WELL)
    assert "surface (29 CFR 1910.423(d)(1)(v); 46 CFR 197.482(b)): enter it, or say" in said
    bench.enter("casualty.noted", "sela", lane=1, what="injury", circumstances="cut on the ladder")
    explain(bench, *CONDITIONS)
    bench.enter(CLOSED, "sela", **WELL)


def test_what_is_asked_follows_the_dive_s_own_schedule_and_gas(bench_at: BenchAt) -> None:
    """110/35 is outside the no-stop limits; oxygen in the water counts as mixed gas (station choice)."""
    bench = bench_at("08:51:00")
    lane, dive = bench.board.lanes[1], live_of(bench)
    found = circumstances(bench.board, lane, dive)
    assert (found.depth_fsw, found.outside_no_stop, found.mixed_gas) == (107, True, False)
    none = replace(dive, schedule=NoSchedule(107, 34, "none printed", None))
    assert circumstances(bench.board, lane, none).outside_no_stop
    on = lane.marks[-1].model_copy(update={"mark": "on_oxygen"})
    assert circumstances(bench.board, replace(lane, marks=(*lane.marks, on)), dive).mixed_gas
