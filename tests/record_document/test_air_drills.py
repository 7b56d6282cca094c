"""The drills of the air: the turn time where air ends the dive, the alarms when the primary fails.

What the banks come to is worked out by hand in the scenarios, and held here against the trade's formula.
"""

import tomllib
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from station.board.alarms import Alarm
from station.board.figures import figures
from station.events import SupplyRead
from station.journal.memory import MemoryJournal
from station.record.document import build

if TYPE_CHECKING:
    from station.board.air_figures import AirFigures
    from tests.record_document.conftest import Begin, Drill

AIR = ("air", "manifold", "bank")


def air(drill: "Drill") -> "AirFigures":
    return figures(drill.watch.board, drill.clock.now()).air


def short(drill: "Drill") -> list[Alarm]:
    """Return the alarm that the air is short now, if it stands."""
    return [one for one in figures(drill.watch.board, drill.clock.now()).alarms if one.key == "air short now"]


def told(drill: "Drill") -> list[str]:
    """Play to the end; return each alarm of the air as it is raised, changes its priority or is cleared."""
    found: list[str] = []
    before: dict[str, str] = {}
    while drill.player.due is not None:
        drill.player.play_next(drill.clock)
        raised: dict[str, str] = {
            one.key: one.priority
            for one in figures(drill.watch.board, drill.clock.now()).alarms
            if one.lane is None and one.key.startswith(AIR) and "silent" not in one.key
        }
        at = f"{drill.clock.now():%H:%M:%S}"
        found += [f"{at} {key} {level}" for key, level in raised.items() if before.get(key) != level]
        found += [f"{at} {key} over" for key in before if key not in raised]
        before = raised
    return found


class TestAirEndsTheDive:
    def test_the_turn_is_the_airs_to_the_minute(self, begin: "Begin") -> None:
        drill = begin("air-ends.toml").play("left_bottom")
        found = air(drill).turns[1]
        assert (found.turn.leads, found.turn.minute, found.turn.schedule_min) == ("air", 25, 35)
        assert f"{found.leave_by:%H:%M:%S}" == "07:55:00"
        assert "AIR ends the dive first" in found.turn.words

    def test_by_hand(self, begin: "Begin") -> None:
        """477 scf to leave at 25 min, 702 at 26; there are 566 as a real gas, 600 by the trade's formula."""
        drill = begin("air-ends.toml").play("left_bottom")
        drill.clock.moment = drill.clock.moment.replace(minute=50, second=0)
        ideal = (375 - 298) / 14.7 * 64 + (420 - 298) / 14.7 * 32
        leaving = [2 * (stay * 6 * 140 / 33 + 115.0 + extra) for stay, extra in ((5, -3.91), (6, 82.82))]
        there = air(drill).sums.leave_now
        assert there is not None
        assert leaving[0] == pytest.approx(477, abs=1)
        assert leaving[1] == pytest.approx(701.1, abs=1)
        assert there.usable_scf == pytest.approx(566, abs=1)
        assert there.usable_scf == pytest.approx(ideal, rel=0.07)
        assert leaving[0] < there.usable_scf < leaving[1]

    def test_short_of_plan_from_the_faceplate_on_and_never_short_now(self, begin: "Begin") -> None:
        assert told(begin("air-ends.toml")) == [
            "07:27:00 air short of plan medium",
            "07:55:00 air short of plan over",
        ]

    def test_a_minute_longer_would_have_been_short(self, begin: "Begin") -> None:
        drill = begin("air-ends.toml").play("left_bottom")
        drill.clock.moment = drill.clock.moment.replace(minute=55, second=1)
        now = figures(drill.watch.board, drill.clock.now())
        assert "air short now" in {one.key for one in now.alarms if one.priority == "high"}

    def test_on_the_way_up_it_is_charged_at_the_last_depth_until_another_is_read_and_says_so(
        self, begin: "Begin"
    ) -> None:
        """A diver who does not move draws as on the bottom: what should be lowers no figure."""
        drill = begin("air-ends.toml").play("left_bottom")
        drill.player.play_next(drill.clock)
        drill.clock.moment = drill.clock.moment.replace(minute=56, second=45)
        (alarm,) = short(drill)
        assert alarm.priority == "high"
        assert alarm.words.startswith(
            "by lane 1's last depth, 107 fsw 2:45 ago (a new reading may clear this): leaving now is covered "
            "only by drawing the reserve: "
        )
        drill.player.play_next(drill.clock)
        assert drill.watch.board.lanes[1].readings[-1].reading_fsw == 46
        assert short(drill) == []

    def test_at_a_stop_the_depth_is_that_of_the_mark_and_nothing_is_said_of_it(self, begin: "Begin") -> None:
        """With 150 psig the stop is not covered; the diver is known to be there: no reading clears it."""
        drill = begin("air-ends.toml").play("reached_stop")
        drill.player.play_next(drill.clock)
        for bank in ("bank-1", "bank-2"):
            drill.enter(SupplyRead, "tam-belcourt", "timekeeper", source=bank, pressure_psig=150.0)
        (alarm,) = short(drill)
        assert alarm.words.startswith("leaving now is covered ")


class TestPrimaryLost:
    def test_switch_abort_ascent_covered_by_the_secondary(self, begin: "Begin") -> None:
        assert told(begin("primary-lost.toml")) == [
            "08:02:40 bank-1 lost high",
            "08:03:00 bank-1 lost medium",
            "08:34:34 bank-1 lost over",
        ]

    def test_the_sums_before_at_and_after_the_loss(self, begin: "Begin") -> None:
        """647 scf is the ascent by hand; Bank 2 gives 1134 scf at 850 psig, 1201 by the trade's formula."""
        drill = begin("primary-lost.toml").play("source.lost")
        before = air(drill).sums
        assert before.without_primary is not None
        assert before.without_primary.covered
        assert pytest.approx(1201.6, abs=0.1) == (850 - 298) / 14.7 * 32
        assert before.without_primary.usable_scf == pytest.approx(1134, abs=2)
        drill.play("left_bottom")
        drill.player.play_next(drill.clock)
        found = air(drill).sums.leave_now
        assert found is not None
        assert (found.need_scf, found.covered, found.by_reserve_only) == (647, True, False)
        assert air(drill).on_line == "bank-2"

    def test_a_secondary_too_small_is_told_before_and_the_reserve_carries_the_ascent(
        self, begin: "Begin"
    ) -> None:
        """At 450 psig Bank 2 has 331 scf by the formula, 647 are owed; Bank 3 has more than that."""
        small = (
            ("pressure_psig = 850 }", "pressure_psig = 450 }"),
            ("pressure_psig = 848 }", "pressure_psig = 448 }"),
        )
        drill = begin("primary-lost.toml", *small).play("source.lost")
        warned = figures(drill.watch.board, drill.clock.now()).alarms
        assert "air short without primary" in {one.key for one in warned if one.priority == "medium"}
        drill.play("left_bottom")
        found = air(drill).sums.leave_now
        assert found is not None
        assert found.by_reserve_only
        (alarm,) = [
            one for one in figures(drill.watch.board, drill.clock.now()).alarms if one.key == "air short now"
        ]
        assert alarm.priority == "high"
        assert alarm.words.startswith("leaving now is covered only by drawing the reserve: ")

    def test_the_alarms_stand_on_the_record_as_they_came(self, begin: "Begin") -> None:
        drill = begin("primary-lost.toml", notes_alarms=True).play()
        body = drill.body()
        found = [
            f"{one['at']:%H:%M:%S} {one['priority']} to {one['cleared']:%H:%M:%S}: {one['text']}"
            for one in tomllib.loads(body.decode())["alarms"]["raised"]
            if one["key"] == "bank-1 lost"
        ]
        assert found == [
            "08:02:40 high to 08:03:00: Bank 1 LOST: change over to Bank 2, then mark it",
            "08:03:00 medium to 08:38:34: Bank 1 LOST: end the dive on what is left",
        ]
        again = MemoryJournal()
        for entry in drill.watch.entries:
            again.append(entry.event, entry.seq - 1)
        assert build(again.read(), 1, drill.watch.board.setup) == body

    def test_what_comes_after_the_closing_leaves_the_record_as_it_is(self, begin: "Begin") -> None:
        drill = begin("primary-lost.toml", notes_alarms=True).play()
        body = drill.body()
        drill.clock.moment += timedelta(hours=1)
        stand = [Alarm("high", "air failed", "x"), Alarm("high", "of the lane", "x", 1)]
        noted = drill.watch.notice_alarms(stand, drill.clock.now())
        assert [entry.event.kind for entry in noted] == ["alarm.raised"]
        assert drill.body() == body

    def test_all_of_it_is_on_the_record(self, begin: "Begin") -> None:
        body = begin("primary-lost.toml").play().body().decode()
        assert 'what = "SOURCE LOST: Bank 1 (its main valve has failed: no pressure behind it)"' in body
        assert 'what = "CHANGED OVER to Bank 2"' in body
        assert "Primary lost; the dive is ended on the secondary." in body
