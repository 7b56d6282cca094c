"""Sample and test dates: when due, when out of date; and what the published intervals come to."""

from datetime import date

import pytest

from station.shipped import shipped
from station.supply.dated import dated_ages, months_after
from station.supply.load import load_supply

SHIPPED = shipped("configs") / "supply" / "deep-sea-air.toml"
SUPPLY = load_supply(SHIPPED.read_bytes(), SHIPPED.name)
TODAY = date(2031, 5, 4)


def test_published_intervals_of_the_shipped_file() -> None:
    """gauge_calibration_interval 6: 29 CFR 1910.430(g)(2); hose_test 12: 29 CFR 1910.430(c), from memory."""
    months = {one.id: one.every_months for one in SUPPLY.tests}
    assert months == {"air-sample": 6, "hose-1-test": 12, "hose-2-test": 12, "depth-gauge-test": 6}


@pytest.mark.parametrize(
    ("day", "months", "due"),
    [
        (date(2031, 1, 31), 1, date(2031, 2, 28)),
        (date(2027, 8, 31), 6, date(2028, 2, 29)),
        (date(2031, 12, 1), 12, date(2032, 12, 1)),
        (date(2031, 11, 4), 2, date(2032, 1, 4)),
    ],
)
def test_months_run_by_the_calendar(day: date, months: int, due: date) -> None:
    assert months_after(day, months) == due


@pytest.mark.parametrize(
    ("on", "out"),
    [(date(2030, 11, 4), False), (date(2030, 11, 3), True), (TODAY, False), (date(2031, 5, 5), True)],
)
def test_a_test_stands_to_the_day_it_is_due(on: date, *, out: bool) -> None:
    (sample, *_) = dated_ages(SUPPLY, {"air-sample": on}, TODAY)
    assert sample.out_of_date is out


def test_words_give_date_age_and_due_date() -> None:
    (sample, *_) = dated_ages(SUPPLY, {"air-sample": date(2030, 11, 3)}, TODAY)
    assert sample.words.startswith(
        "Sample of the breathing air: 2030-11-03, 182 days ago, OUT OF DATE since 2031-05-03; from memory"
    )


def test_without_a_date_a_test_is_out_of_date() -> None:
    ages = dated_ages(SUPPLY, {}, TODAY)
    assert all(one.out_of_date and one.on is None for one in ages)
    assert "no date on record" in ages[0].words


def test_a_date_entered_stands_in_place_of_the_files() -> None:
    tests = tuple(one.model_copy(update={"on": date(2020, 1, 1)}) for one in SUPPLY.tests)
    supply = SUPPLY.model_copy(update={"tests": tests})
    assert [one.out_of_date for one in dated_ages(supply, {"air-sample": TODAY}, TODAY)] == [
        False,
        True,
        True,
        True,
    ]
