"""Station days: a changed value is a revision; the same file twice is nothing."""

from __future__ import annotations

from datetime import date

import pytest
from pydantic import ValidationError

from springwalk.records import Day
from springwalk.store import Store
from springwalk.store.days import day_revisions, days, put_days
from tests.contract.made_up import day


def test_days_come_back_by_station_and_date(store: Store) -> None:
    """The engine's arrays are made from these rows, so order and gaps must be right."""
    with store.writing() as write:
        taken = put_days(write, [day(3), day(1, None, 12.5), day(2), day(1, station="a")])
    assert taken == (4, 0, [])
    with store.reading() as read:
        found = days(read)
        assert days(read, "a") == {"a": found["a"]}
        assert days(read, "nowhere") == {}
    assert list(found) == ["a", "north"]
    assert found["north"] == [
        ("2026-04-01", None, 12.5, None),
        ("2026-04-02", 3.1, 17.2, None),
        ("2026-04-03", 3.1, 17.2, None),
    ]


def test_the_same_days_again_change_nothing(store: Store) -> None:
    """The same weather file is taken in every morning; only news may move the counter."""
    with store.writing() as write:
        put_days(write, [day(1), day(2)])
    with store.writing() as write:
        again = day(2).model_copy(update={"source": "renamed.csv"})
        assert put_days(write, [day(1), again]) == (0, 2, [])
    assert store.counter == 1


def test_a_changed_value_is_a_revision_and_is_told(store: Store) -> None:
    """Services correct their days; the user must see what changed and the old value must stay."""
    with store.writing() as write:
        put_days(write, [day(1), day(2)])
    with store.writing() as write:
        assert put_days(write, [day(1), day(2, 2.5), day(3)]) == (1, 1, [(day(2), day(2, 2.5))])
    with store.reading() as read:
        assert days(read)["north"][1] == ("2026-04-02", 2.5, 17.2, None)
        assert day_revisions(read, "north", date(2026, 4, 2)) == [day(2), day(2, 2.5)]
        assert day_revisions(read, "north", date(2026, 4, 9)) == []
    assert store.counter == 2


def test_none_takes_nothing_back_and_rain_joins_the_extremes(store: Store) -> None:
    """Extremes and rain often come in two files; taking both again must change nothing."""
    rain = day(1, None).model_copy(update={"max_c": None, "rain_mm": 33.0})
    with store.writing() as write:
        put_days(write, [day(1)])
    with store.writing() as write:
        assert put_days(write, [rain]) == (1, 0, [])
    with store.writing() as write:
        assert put_days(write, [day(1), rain]) == (0, 2, [])
    with store.reading() as read:
        assert days(read)["north"] == [("2026-04-01", 3.1, 17.2, 33.0)]
    assert store.counter == 2


def test_a_day_twice_in_one_file_is_a_revision_of_itself(store: Store) -> None:
    """Two lines for one day that differ must be told, and the last one holds."""
    with store.writing() as write:
        put_days(write, [day(1)])
        taken = put_days(write, [day(1, 1.0), day(1, 2.0), day(2), day(2), day(2, 4.0)])
    pairs = [(day(1), day(1, 1.0)), (day(1, 1.0), day(1, 2.0)), (day(2), day(2, 4.0))]
    assert taken == (1, 1, pairs)
    with store.reading() as read:
        assert [row[1] for row in days(read)["north"]] == [2.0, 4.0]


def test_no_days_are_no_change(store: Store) -> None:
    """An empty file is not news."""
    with store.writing() as write:
        assert put_days(write, []) == (0, 0, [])
    assert store.counter == 0


@pytest.mark.parametrize("value", [float("nan"), float("inf"), float("-inf")])
def test_a_value_that_is_no_number_never_becomes_a_day(value: float) -> None:
    """SQLite would turn NaN into "not reported" in silence, so the record refuses it before."""
    with pytest.raises(ValidationError, match="finite number"):
        Day(station="north", date=date(2026, 4, 1), min_c=value)
