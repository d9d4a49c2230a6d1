"""The winter index for Stewart's wilt against two states' notices (winter_index.csv)."""

from __future__ import annotations

import pytest

from springwalk.engine.winter_index import class_of
from springwalk.tables import rows as table_rows
from tests.published.reading import cases


def scheme(name: str) -> tuple[list[float], list[str]]:
    """Breaks and class names of one scheme of the shipped table, mildest first."""
    found = [row for row in table_rows("flea_beetle_index") if row["scheme"] == name]
    return [float(row["low"]) for row in found if row["low"]], [row["class"] for row in found]


@pytest.mark.parametrize("row", cases("winter_index", "site"))
def test_winter_falls_in_its_printed_class(row: dict[str, str]) -> None:
    """Each winter of the notices in its class by Ohio's breaks; Wooster's 94.4 is the near one."""
    breaks, classes = scheme("Ohio")
    assert breaks == [90.0, 95.0, 100.0]
    assert classes[class_of(float(row["sum_f"]), breaks)] == row["class"]


def test_newer_illinois_classes_agree_as_mean_and_as_sum() -> None:
    """81, 90 and 99 are three times 27, 30 and 33: both forms must give the same class."""
    on_mean, names = scheme("Illinois newer")
    on_sum, names_again = scheme("Illinois newer as sum")
    assert (on_sum, names) == ([81.0, 90.0, 99.0], names_again)
    for sum_f in (80.9, 81.0, 89.9, 90.0, 98.9, 99.0, 99.1):
        assert class_of(sum_f, on_sum) == class_of(sum_f / 3.0, on_mean)
