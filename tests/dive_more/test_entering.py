"""A dive into the tables as it goes: earlier dives, altitude and company live, with their lines in the trail.

Rows and residual times of U.S. Navy Diving Manual Revision 7, Tables 9-7, 9-8 and 9-9, worked by hand.
"""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from station.dive.facts import Company, DiveFacts, Mark, Reading
from station.dive.follow import Live, follow
from station.dive.order import check_gas
from station.dive.schedule import NoSchedule, Stop
from station.dive.series import EarlierDive
from station.dive.text import stops_text
from station.dive.trail import trail
from station.dive.trail_lines import schedule_name
from station.errors import Refusal
from station.tables.model import Tables

LEFT = datetime(2026, 5, 4, 10, 0, tzinfo=UTC)


def at(minutes: float) -> datetime:
    return LEFT + timedelta(minutes=minutes)


def earlier(group: str | None, hours: float, depth: float = 60, minutes: int = 40) -> EarlierDive:
    return EarlierDive(LEFT - timedelta(hours=hours), group, depth, minutes, "the dive before")


def dive(depth: float, *readings: tuple[float, float], **fields: object) -> DiveFacts:
    """Return a dive that left the surface at 0, with readings by minute."""
    facts = DiveFacts(depth, 60, (Mark("left_surface", LEFT),))
    taken = tuple(Reading(at(minute), reading) for minute, reading in readings)
    return replace(facts, readings=taken, **fields)  # type: ignore[arg-type]


def name(live: Live) -> str:
    return schedule_name(live.schedule)


class TestEarlierDives:
    def test_the_residual_time_follows_the_depth_into_another_row(self, tables: Tables) -> None:
        """G has 40 min at 60 fsw, 34 at 70: 10 min on the bottom are 50 of 63, then 44 of 48 at 70."""
        facts = dive(60, earlier=(earlier("H", 1.5),))
        live = follow(tables, facts, at(10))
        assert (live.residual_min, live.entered_min, name(live)) == (40, 50, "60/63")
        deeper = follow(tables, replace(facts, readings=(Reading(at(9), 66),)), at(10))
        assert (deeper.residual_min, deeper.entered_min, name(deeper)) == (34, 44, "70/48")

    def test_time_left_in_the_row_takes_the_residual_time_off(self, tables: Tables) -> None:
        """63 - 40: the no-stop limit ends after 23 min."""
        facts = dive(60, earlier=(earlier("H", 1.5),))
        assert follow(tables, facts, at(10)).row_left_s == 13 * 60
        (first, row, *_) = [line for line in trail(tables, facts, at(24)) if line.rule != "earlier dives"]
        assert (first.after.schedule, row.rule, row.at) == (
            "60/63",
            "next longer row",
            at(23) + timedelta(milliseconds=1),
        )
        told = [line for line in trail(tables, facts, at(24)) if line.rule == "earlier dives"]
        assert "residual nitrogen time 40 min" in told[0].words

    def test_no_figure_is_no_schedule(self, tables: Tables) -> None:
        live = follow(tables, dive(10, earlier=(earlier("Z", 0.25),)), at(1))
        assert isinstance(live.schedule, NoSchedule)
        assert "no residual nitrogen time can be had for group Z" in live.schedule.reason
        assert (live.residual_min, live.total_ascent_s) == (0, None)

    def test_a_deeper_reading_keeps_the_heavier_plan(self, tables: Tables) -> None:
        """B has 8 min at 110 fsw, 7 at 120: after 113 min 121 goes to 110/180, 120 is 120/120.

        110/180 takes longer to come up from than 120/120, so it stays (station choice).
        """
        before = earlier("B", 0.25)
        facts = dive(110, (1.0, 107.0), earlier=(before,))
        shallow = follow(tables, facts, at(113))
        deeper = follow(tables, replace(facts, readings=(*facts.readings, Reading(at(112), 113))), at(113))
        alone = follow(tables, dive(120, (1.0, 113.0), earlier=(before,)), at(113))
        assert (name(shallow), name(alone), name(deeper)) == ("110/180", "120/120", "110/180")

    @pytest.mark.parametrize("group", ["A", "B", "D", "G", "K", "N", "Z"])
    def test_no_deeper_reading_ever_lightens_the_plan(self, tables: Tables, group: str) -> None:
        for depth in range(30, 171, 10):
            facts = dive(depth, (1.0, depth - 3.0), earlier=(earlier(group, 0.5),))
            for minutes in (5, 17, 40, 63, 95):
                now = at(minutes)
                before = follow(tables, facts, now)
                reading = Reading(now, depth + 5.0)
                after = follow(tables, replace(facts, readings=(*facts.readings, reading)), now)
                if before.total_ascent_s is not None and after.total_ascent_s is not None:
                    assert _owed(after) >= _owed(before), (depth, minutes)


def _owed(live: Live) -> int:
    return sum(line.minutes for line in live.stops)


class TestAltitude:
    def test_depth_and_stops_of_the_site(self, tables: Tables) -> None:
        """99 fsw at 5,200 ft is 123.5 at sea level: row 130; its 30 and 20 fsw stops lie at 24 and 16 fsw."""
        facts = dive(99, (1.0, 98.0), site_ft=5200.0)
        live = follow(tables, facts, at(30))
        assert (round(live.table_depth), name(live)) == (130, "130/30")
        owed = tables.rows[130][tables.times[130].index(30)].air_stops
        assert [line.depth for line in live.stops] == [{20: 16, 30: 24, 40: 32}[deep] for deep, _ in owed]
        assert "altitude" in [line.rule for line in trail(tables, facts, at(30))]

    def test_oxygen_goes_by_the_depths_of_the_table(self, tables: Tables) -> None:
        """At 10,000 ft a 40 fsw stop lies at 28 fsw: shallower than 30, and still on air."""
        facts = dive(110, (1.0, 107.0), site_ft=10_000.0, gas="air_oxygen")
        live = follow(tables, facts, at(25))
        assert name(live) == "160/25"
        assert stops_text([Stop(one.depth, one.minutes) for one in live.stops]) == "28:4 21:4 14:17"
        assert [line.on_oxygen for line in live.stops] == [False, True, True]

    def test_the_gas_may_be_chosen_down_to_the_first_oxygen_stop_of_the_site(self, tables: Tables) -> None:
        facts = dive(110, (1.0, 107.0), site_ft=10_000.0)
        marks = (*facts.marks, Mark("left_bottom", at(25)), Mark("reached_stop", at(27.8), 28))
        check_gas(tables, replace(facts, marks=marks), "air_oxygen", at(28))
        up = (*marks, Mark("left_stop", at(31.8), 28), Mark("reached_stop", at(32), 21))
        with pytest.raises(Refusal, match="the diver has reached it"):
            check_gas(tables, replace(facts, marks=up), "air_oxygen", at(33))


class TestCompany:
    def test_from_when_both_follow_the_deeper_and_the_longer(self, tables: Tables) -> None:
        """107 fsw, 29 min alone 110/30; with 114 fsw of another, 2 min longer down, from 30 min on 120/35."""
        other = replace(dive(120, (2.0, 112.0)), lane=2, diver="Wyn")
        other = replace(other, marks=(Mark("left_surface", at(-2)),))
        facts = dive(110, (2.0, 105.0), company=(Company(at(30), None, (other,)),), lane=1, diver="Jona")
        assert name(follow(tables, facts, at(29))) == "110/30"
        live = follow(tables, facts, at(33.5))
        assert (live.bottom_min, live.others_min, live.entered_min, name(live)) == (34, 36, 36, "120/40")
        assert live.leads == "together: depth 114 fsw of Wyn, time 36 min of Wyn"
        lines = trail(tables, facts, at(33.5))
        (told,) = [line for line in lines if line.rule == "divers together"]
        assert (told.at, told.after.schedule) == (at(30), "120/35")
        last = lines[-1]
        assert (last.rule, last.at) == ("next longer row", at(33) + timedelta(milliseconds=1))

    def test_parted_each_follows_the_own_figures(self, tables: Tables) -> None:
        other = replace(dive(120, (2.0, 112.0)), lane=2, diver="Wyn")
        company = (Company(at(10), at(20), (other,)),)
        facts = dive(110, (2.0, 105.0), company=company)
        assert name(follow(tables, facts, at(19))) == "120/20"
        assert name(follow(tables, facts, at(20))) == "110/20"

    def test_a_refused_look_up_of_one_refuses_it_for_all(self, tables: Tables) -> None:
        other = replace(dive(60), lane=2, diver="Wyn", earlier=(earlier(None, 3.0),))
        facts = dive(110, company=(Company(at(5), None, (other,)),))
        live = follow(tables, facts, at(6))
        assert isinstance(live.schedule, NoSchedule)
        assert live.schedule.reason.startswith("Wyn: no group is printed")
