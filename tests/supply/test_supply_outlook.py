"""How long the air lasts by plan and by readings, and every fact an alarm is made of."""

from datetime import UTC, date, datetime, timedelta

import pytest

from station.shipped import shipped
from station.supply.cover import Coverage
from station.supply.dated import dated_ages
from station.supply.facts import AirFact, Sums, air_facts
from station.supply.figures import figures
from station.supply.load import load_supply
from station.supply.model import Compressor
from station.supply.need import OnHose, need_of_all
from station.supply.outlook import Outlook, Watched, compressor_tank_s, outlook
from station.supply.readings import Reading

NOW = datetime(2031, 5, 4, 9, 0, tzinfo=UTC)
SHIPPED = shipped("configs") / "supply" / "deep-sea-air.toml"
SUPPLY = load_supply(SHIPPED.read_bytes(), SHIPPED.name)
DIVER = (OnHose(1, 90),)


def falling(psi_per_min: float, last: float = 2000, count: int = 6) -> list[Reading]:
    """Return readings every five minutes, the last of them now."""
    return [
        Reading(last + 5 * psi_per_min * ago, NOW - timedelta(minutes=5 * ago))
        for ago in reversed(range(count))
    ]


def watched(**history: list[Reading]) -> Watched:
    return Watched({one.replace("_", "-"): readings for one, readings in history.items()}, NOW)


class TestByPlan:
    def test_the_banks_at_the_planned_flow_without_the_reserve(self) -> None:
        """9849 scf of bank 1 and 4924 of bank 2 at 44.727 scfm: 330 min; bank 3 is kept."""
        full = [Reading(2800, NOW)]
        found = outlook(SUPPLY, watched(bank_1=full, bank_2=full, bank_3=full), DIVER)
        assert (found.planned_scfm, found.drawn_scfm, found.faster) == (44.8, None, 1)
        assert found.reserve_by_plan_min == found.reserve_min == 330
        assert found.words == "44.8 scfm planned; no trend of the readings yet"

    def test_nobody_draws(self) -> None:
        found = outlook(SUPPLY, watched(bank_1=[Reading(2800, NOW)]), ())
        assert (found.reserve_min, found.planned_scfm) == (None, 0)

    def test_deeper_than_the_file_knows(self) -> None:
        found = outlook(SUPPLY, watched(bank_1=falling(10)), (OnHose(1, 401),))
        assert found.stores == ()
        assert "deeper than its last figure" in found.banks[0].words


class TestByReadings:
    """A psi of bank 1 is about 3.8 scf: 5 psi a minute is half of what is planned, 15 more than it."""

    def test_less_than_planned(self) -> None:
        found = outlook(SUPPLY, watched(bank_1=falling(5)), DIVER)
        assert found.drawn_scfm == pytest.approx(5 * 3.8, rel=0.05)
        assert not found.falling_faster
        assert found.words.endswith("scfm by the readings, against 44.8 scfm planned")

    def test_more_than_planned_leads_and_scales_the_demand(self) -> None:
        found = outlook(SUPPLY, watched(bank_1=falling(15)), DIVER)
        assert found.falling_faster
        assert found.faster == pytest.approx(15 * 3.8 / 44.727, rel=0.05)
        assert found.reserve_by_trend is not None
        assert found.reserve_by_plan_min is not None
        assert found.reserve_min == found.reserve_by_trend.earliest_min < found.reserve_by_plan_min

    def test_the_bank_on_line_has_times_to_its_change_over_and_its_minimum(self) -> None:
        bank = SUPPLY.banks[0].model_copy(update={"change_over_psig": 500.0})
        supply = SUPPLY.model_copy(update={"banks": (bank, *SUPPLY.banks[1:])})
        (first, *others) = outlook(supply, watched(bank_1=falling(10)), DIVER).banks
        assert first.on_line
        assert first.to_change_over is not None
        assert first.to_minimum is not None
        # (2000 - 500) and (2000 - 291) psi at about 10 a minute.
        assert 100 < first.to_change_over.earliest_min < 150
        assert first.to_change_over.earliest_min < first.to_minimum.earliest_min < 171
        assert not any(one.on_line or one.trend for one in others)

    def test_a_lost_bank_is_neither_counted_nor_followed(self) -> None:
        history = {"bank-1": falling(10), "bank-2": falling(0)}
        found = outlook(SUPPLY, Watched(history, NOW, lost=frozenset({"bank-1"})), DIVER)
        assert [one.id for one in found.banks if one.on_line] == ["bank-2"]
        assert found.banks[0].trend is None

    def test_an_entered_change_cuts_the_trend(self) -> None:
        cut = Watched({"bank-1": falling(10)}, NOW, changed={"bank-1": NOW - timedelta(minutes=11)})
        assert outlook(SUPPLY, cut, DIVER).banks[0].trend is None


def test_a_volume_tank_buys_the_time_of_the_change_over() -> None:
    """By hand: (250 - 91) / 14.7 x 20 = 216.3 scf over 44.727 scfm: 290 s."""
    one = Compressor(
        id="c",
        name="C",
        role="primary",
        delivers_scfm=60,
        delivers_psig=250,
        volume_tank_cu_ft=20,
        source="its plate",
    )
    assert compressor_tank_s(one, need_of_all(SUPPLY, DIVER)) == 290
    assert compressor_tank_s(one, need_of_all(SUPPLY, ())) is None
    without = one.model_copy(update={"volume_tank_cu_ft": None})
    assert compressor_tank_s(without, need_of_all(SUPPLY, DIVER)) is None


FRESH = dict.fromkeys([one.id for one in SUPPLY.tests], date(2031, 5, 1))


def facts(
    look: Outlook, manifold: float = 150, bank: float = 2000, sums: Sums | None = None
) -> tuple[AirFact, ...]:
    last = {"manifold": Reading(manifold, NOW), "bank-1": Reading(bank, NOW)}
    shown = figures(SUPPLY, last, DIVER, NOW, timedelta(minutes=10))
    return air_facts(shown, look, sums or Sums(), dated_ages(SUPPLY, FRESH, NOW.date()))


def coverage(spare: int, with_reserve: int) -> Coverage:
    return Coverage(100, 100 + spare, 0, spare, with_reserve, known=True, words="sums")


class TestFacts:
    calm = outlook(SUPPLY, watched(bank_1=falling(5)), DIVER)

    def test_nothing_wrong(self) -> None:
        assert facts(self.calm, sums=Sums(coverage(0, 0), coverage(0, 0), coverage(0, 0))) == ()

    @pytest.mark.parametrize(
        ("sums", "kind", "words"),
        [
            (Sums(leave_now=coverage(-1, 5)), "short now", "only by drawing the reserve"),
            (Sums(leave_now=coverage(-9, -4)), "short now", "not even with the reserve"),
            (Sums(planned=coverage(-1, 5)), "short of plan", "the plan is not covered: sums"),
            (Sums(without_primary=coverage(-1, -1)), "short without primary", "if the primary fails now"),
        ],
    )
    def test_short(self, sums: Sums, kind: str, words: str) -> None:
        (found,) = facts(self.calm, sums=sums)
        assert found.kind == kind
        assert words in found.words

    def test_what_is_not_known_counts_as_short(self) -> None:
        unknown = Coverage(0, 0, 0, 0, 0, known=False, words="deeper than its last figure")
        (found,) = facts(self.calm, sums=Sums(leave_now=unknown))
        assert (found.kind, found.words) == ("short now", "deeper than its last figure")

    def test_below_minimum(self) -> None:
        assert [one.key for one in facts(self.calm, manifold=90, bank=290)] == ["manifold low", "bank-1 low"]

    def test_falling_faster(self) -> None:
        (found,) = facts(outlook(SUPPLY, watched(bank_1=falling(15)), DIVER))
        assert found.kind == "falling faster"
        assert "MORE than 44.8 scfm planned" in found.words

    def test_a_questioned_reading(self) -> None:
        odd = [*falling(5)[:-1], Reading(2900, NOW)]
        found = facts(outlook(SUPPLY, watched(bank_1=odd), DIVER))
        assert [one.key for one in found] == ["bank-1 questioned"]

    def test_silent_gauges(self) -> None:
        last = {"bank-1": Reading(2000, NOW - timedelta(seconds=661))}
        shown = figures(SUPPLY, last, DIVER, NOW, timedelta(minutes=10))
        found = air_facts(shown, self.calm, Sums(), ())
        assert [one.words for one in found] == ["Manifold not read yet", "Bank 1 not read for 11 min 01 s"]

    def test_out_of_date(self) -> None:
        shown = figures(SUPPLY, {"manifold": Reading(150, NOW), "bank-1": Reading(2000, NOW)}, DIVER, NOW,
                        timedelta(minutes=10))  # fmt: skip
        found = air_facts(shown, self.calm, Sums(), dated_ages(SUPPLY, {}, NOW.date()))
        assert [one.key for one in found] == [f"out of date {one.id}" for one in SUPPLY.tests]
