"""Entries of the air supply: what is taken, what is refused and why, and what the sources come to by them."""

from datetime import date
from typing import TYPE_CHECKING, Any

import pytest

from station.board.entry_words import entry_words
from station.board.sources import history, sources_at, to_change_over_to

if TYPE_CHECKING:
    from station.board.sources import Sources
    from tests.board.conftest import Bench

GOOD: dict[str, Any] = {"oxygen_percent": 20.9, "co2_ppm": 450.0, "co_ppm": 2.0, "oil_mg_m3": 0.4}


def sources(bench: "Bench") -> "Sources":
    return sources_at(bench.board.setup.supply, bench.board.sources, bench.clock.now())


class TestSources:
    def test_the_first_in_the_order_of_change_over_feeds_until_something_is_entered(
        self, fresh: "Bench"
    ) -> None:
        found = sources(fresh)
        assert (found.on_line, found.feeding, found.since, found.lost) == (None, "bank-1", None, frozenset())

    def test_a_change_over_shuts_the_one_before_which_must_be_read_again(self, fresh: "Bench") -> None:
        fresh.enter("supply.read", source="bank-1", pressure_psig=900.0)
        fresh.enter("supply.read", source="bank-2", pressure_psig=2900.0)
        fresh.go("07:00:00").enter("supply.changed_over", source="bank-2")
        found = sources(fresh)
        assert (found.feeding, found.since) == ("bank-2", fresh.clock.now())
        assert found.changed == dict.fromkeys(("bank-1", "bank-2"), fresh.clock.now())
        assert set(history(fresh.board, found)) == {"bank-2"}
        fresh.go("07:01:00").enter("supply.read", source="bank-1", pressure_psig=880.0)
        assert [one.pressure_psig for one in history(fresh.board, found)["bank-1"]] == [880]

    def test_a_lost_source_hands_over_to_the_next_in_order(self, fresh: "Bench") -> None:
        fresh.enter("supply.read", source="bank-1", pressure_psig=2900.0)
        fresh.go("07:00:00").enter("source.lost", source="bank-1", reason="its main valve")
        found = sources(fresh)
        assert (found.feeding, found.since) == ("bank-2", fresh.clock.now())
        assert found.lost == frozenset({"bank-1"})
        assert "bank-1" not in history(fresh.board, found)

    def test_a_restored_source_is_counted_once_it_was_read(self, fresh: "Bench") -> None:
        fresh.enter("source.lost", source="bank-1")
        fresh.go("07:00:00").enter("source.restored", "sela", source="bank-1", reason="valve freed")
        found = sources(fresh)
        assert (found.lost, found.feeding) == (frozenset(), "bank-1")
        assert found.shut["bank-2"] == fresh.clock.now()

    def test_they_stand_as_they_were_at_a_moment(self, fresh: "Bench") -> None:
        fresh.go("07:10:00").enter("source.lost", source="bank-1")
        before = sources_at(fresh.board.setup.supply, fresh.board.sources, fresh.go("07:00:00").clock.now())
        assert before.lost == frozenset()

    def test_all_lost_feed_nobody(self, fresh: "Bench") -> None:
        for source in ("bank-1", "bank-2", "bank-3"):
            fresh.enter("source.lost", source=source)
        assert sources(fresh).feeding is None

    def test_what_may_be_changed_over_to_begins_with_the_next_in_the_order(self, fresh: "Bench") -> None:
        def offered() -> tuple[str, ...]:
            return to_change_over_to(fresh.board.setup.supply, sources(fresh))

        assert offered() == ("bank-2", "bank-3", "bank-1")
        fresh.enter("source.lost", source="bank-1")
        assert offered() == ("bank-2", "bank-3"), "the one the sums reckon with already, until it is entered"
        fresh.enter("supply.changed_over", source="bank-2")
        assert offered() == ("bank-3",)
        fresh.enter("supply.changed_over", source="bank-3")
        assert offered() == ("bank-2",)
        fresh.enter("source.lost", source="bank-2")
        assert offered() == ()

    def test_a_filling_is_a_change_and_nothing_else(self, fresh: "Bench") -> None:
        fresh.enter("bank.filled", source="bank-2")
        found = sources(fresh)
        assert (found.feeding, dict(found.shut)) == ("bank-1", {})
        assert found.changed == {"bank-2": fresh.clock.now()}


class TestRefusals:
    @pytest.mark.parametrize("kind", ["supply.changed_over", "source.lost", "source.restored", "bank.filled"])
    def test_an_unknown_source(self, fresh: "Bench", kind: str) -> None:
        own = {"reason": "found"} if kind == "source.restored" else {}
        words = fresh.refusal(kind, "sela", source="bank-9", **own)
        assert "'bank-9' in the supply file (bank-1, bank-2, bank-3)" in words

    def test_bringing_on_what_is_lost_or_on_line(self, fresh: "Bench") -> None:
        fresh.enter("source.lost", source="bank-2")
        assert "Bank 2 is lost; enter that it is restored" in fresh.refusal(
            "supply.changed_over", source="bank-2"
        )
        fresh.enter("supply.changed_over", source="bank-3")
        assert "Bank 3 is on line already" in fresh.refusal("supply.changed_over", source="bank-3")

    def test_losing_twice_and_restoring_what_is_not_lost(self, fresh: "Bench") -> None:
        fresh.enter("source.lost", source="bank-2")
        assert "Bank 2 is lost already" in fresh.refusal("source.lost", source="bank-2")
        again = {"source": "bank-1", "reason": "none"}
        assert "Bank 1 is not lost" in fresh.refusal("source.restored", "sela", **again)

    def test_only_the_supervisor_counts_on_a_lost_source_again(self, fresh: "Bench") -> None:
        fresh.enter("source.lost", source="bank-2")
        assert "for the supervisor alone" in fresh.refusal(
            "source.restored", source="bank-2", reason="valve freed"
        )

    def test_tests_that_are_none_or_still_to_come_or_of_the_other_kind(self, fresh: "Bench") -> None:
        hose: dict[str, Any] = {"test": "hose-1-test", "on": date(2031, 6, 3), "passed": True}
        assert "no test 'hose-9'" in fresh.refusal("test.done", **{**hose, "test": "hose-9"})
        assert "2031-06-04 is still to come" in fresh.refusal("test.done", **{**hose, "on": date(2031, 6, 4)})
        assert "entered as a sample" in fresh.refusal("test.done", **{**hose, "test": "air-sample"})
        assert "entered as a test" in fresh.refusal("sample.taken", test="hose-1-test", on=hose["on"], **GOOD)
        fresh.enter("test.done", **hose)


def test_each_entry_in_words(fresh: "Bench") -> None:
    """Limits of the sample: 46 CFR 197.340(i)."""
    on = date(2031, 5, 20)
    entries: list[tuple[str, dict[str, Any], str]] = [
        ("supply.read", {"source": "bank-1", "pressure_psig": 2900.0}, "Bank 1 2900 psig"),
        ("supply.changed_over", {"source": "bank-2"}, "CHANGED OVER to Bank 2"),
        ("source.lost", {"source": "bank-1", "reason": "a leak"}, "SOURCE LOST: Bank 1 (a leak)"),
        ("source.lost", {"source": "bank-3"}, "SOURCE LOST: Bank 3"),
        ("source.restored", {"source": "bank-1", "reason": "mended"}, "Bank 1 restored (mended)"),
        ("bank.filled", {"source": "bank-1"}, "Bank 1 filled"),
        (
            "test.done",
            {"test": "hose-1-test", "on": on, "passed": False, "result": "a bulge"},
            "FAILED Pressure test of hose 1 of 2031-05-20: a bulge",
        ),
        (
            "sample.taken",
            {"test": "air-sample", "on": on, **GOOD, "co_ppm": 21.0},
            (
                "Sample of the breathing air of 2031-05-20 FAILED (carbon monoxide 21 ppm, over 20): oxygen "
                "20.9 %, carbon dioxide 450 ppm, carbon monoxide 21 ppm, oil 0.4 mg/m3, no odour"
            ),
        ),
    ]
    for kind, fields, words in entries:
        entry = fresh.enter(kind, "sela", **fields)
        assert entry_words(fresh.board, entry.event) == words
