"""The shipped tables: every row has a mark, every published row a source, and nothing is left over."""

from __future__ import annotations

import math
import re
from itertools import pairwise
from typing import get_args

import pytest
from scipy.stats import beta

from springwalk.errors import NotFound
from springwalk.records.moths import TrapKind
from springwalk.tables import MARKS, names, number, numbers, rows, sources

NUMBER_COLUMNS = ("name", "value", "unit", "low", "high", "mark", "source", "note")
PAIRS = (
    ("low", "high"), ("percent_low", "percent_high"), ("days_low", "days_high"), ("plants_low", "plants_high"),
    ("head_low_mm", "head_high_mm"), ("body_low_mm", "body_high_mm"), ("from_leaf", "to_leaf"), ("enters", "ends"),
)  # fmt: skip
NUMERIC = {column for pair in PAIRS for column in pair} | {
    "value", "moths", "nights", "sites", "plants_per_site", "larvae_per_100", "span", "instar", "leaf_1", "leaf_2",
    "leaf_4",
}  # fmt: skip


def faults(row: dict[str, str], *, known: set[str]) -> list[str]:
    """What is wrong with one row of any table, in words; an empty list is a sound row."""
    found = []
    if None in row or None in row.values():
        return ["more or fewer cells than headings"]
    if row["mark"] not in MARKS:
        found.append(f"mark {row['mark']!r} is not one of ours")
    if row["mark"] == "published" and not row["source"]:
        found.append("published without a source")
    if row["source"] and row["source"] not in known:
        found.append(f"source {row['source']!r} is not in sources.toml")
    if tuple(row) == NUMBER_COLUMNS and not (row["value"] and row["unit"]):
        found.append("a number without value or unit")
    values = {key: _number(row[key]) for key in NUMERIC & row.keys() if row[key]}
    found += [f"{key} is not a finite number" for key, value in values.items() if not math.isfinite(value)]
    for low, high in PAIRS:
        if values.get(low, -math.inf) > values.get(high, math.inf):
            found.append(f"{low} is above {high}")
    if "value" in values and not values.get("low", -math.inf) <= values["value"] <= values.get("high", math.inf):
        found.append("value lies outside its range")
    return found


def _number(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        return math.nan


SOUND = {
    "name": "egg", "value": "40", "unit": "°C·day", "low": "30", "high": "52", "mark": "published", "source": "s",
    "note": "",
}  # fmt: skip


def test_sound_row_has_no_faults() -> None:
    """The check of rows must let a sound row pass."""
    assert faults(SOUND, known={"s"}) == []


@pytest.mark.parametrize(
    ("broken", "told"),
    [
        ({"mark": "seen"}, "mark 'seen' is not one of ours"),
        ({"mark": ""}, "mark '' is not one of ours"),
        ({"source": ""}, "published without a source"),
        ({"source": "nobody"}, "source 'nobody' is not in sources.toml"),
        ({"unit": ""}, "a number without value or unit"),
        ({"value": "about 40"}, "value is not a finite number"),
        ({"value": "60"}, "value lies outside its range"),
        ({"value": "20"}, "value lies outside its range"),
        ({"low": "53", "value": ""}, "low is above high"),
    ],
)
def test_broken_row_is_found(broken: dict[str, str], told: str) -> None:
    """The check of rows must be able to fail, once for each rule."""
    assert told in faults({**SOUND, **broken}, known={"s"})


def test_row_with_a_lost_cell_is_found() -> None:
    """A comma too few shifts every later cell; the reader marks it with None."""
    assert faults({**SOUND, "note": None}, known={"s"}) == ["more or fewer cells than headings"]  # type: ignore[dict-item]


@pytest.mark.parametrize("table", names())
def test_every_row_is_sound(table: str) -> None:
    """A number reaches a page with its mark and source, so no row may lack them."""
    assert rows(table), "an empty table"
    wrong = {next(iter(row.values())): found for row in rows(table) if (found := faults(row, known=set(sources())))}
    assert wrong == {}


@pytest.mark.parametrize("table", names())
def test_first_column_names_a_row_once(table: str) -> None:
    """A name used twice would hide a row; only a capture rule is shared by several states."""
    first = next(iter(rows(table)[0]))
    keys = [(row[first], row["state"]) if table == "capture_rules" else row[first] for row in rows(table)]
    assert len(set(keys)) == len(keys)


def test_no_source_is_unused() -> None:
    """A source nobody cites is a promise about numbers we do not have."""
    used = {row["source"] for table in names() for row in rows(table)}
    assert set(sources()) - used == set()


def test_sources_say_what_they_are() -> None:
    """Each key is short and each cite is more than a key."""
    for key, source in sources().items():
        assert re.fullmatch(r"[a-z0-9-]{3,30}", key), key
        assert len(source.cite) > 15, key


def test_unknown_names_fail() -> None:
    """A slip in a name must not become a number: the text says what there is."""
    with pytest.raises(NotFound, match=r"^table = nothing: no such table; use one of .*stages"):
        rows("nothing")
    with pytest.raises(NotFound, match=r"^development number = lee_wing: not in the table; use one of .*lee_egg"):
        number("development", "lee_wing")


def test_number_carries_mark_and_source() -> None:
    """What a page prints beside a number comes with it."""
    egg = number("development", "lee_egg")
    assert (egg.value, egg.unit, egg.mark) == (40.3, "°C·day", "published")
    assert "Phytoparasitica" in sources()[egg.source].cite


def test_stages_ascend_without_gaps() -> None:
    """Each stage begins one degree-day after the one before ends, and its span counts both ends."""
    stages = rows("stages")
    for before, after in pairwise(stages):
        assert float(after["enters"]) == float(before["ends"]) + 1
    assert [int(row["span"]) for row in stages[1:]] == [221, 53, 66, 210, 349]
    for row in stages[1:]:
        assert int(row["span"]) == int(row["ends"]) - int(row["enters"]) + 1


def test_laboratories_add_up() -> None:
    """Sums marked as derived must follow from the published rows (egg to adult in two laboratories)."""
    lab = {name: found.value for name, found in numbers("development").items()}
    parts = ("egg", "larva", "pupa")
    assert sum(lab[f"luckmann_{part}"] for part in parts) == pytest.approx(lab["luckmann_egg_to_adult"], abs=0.05)
    assert sum(lab[f"lee_{part}"] for part in parts) == pytest.approx(lab["lee_egg_to_adult"], abs=0.05)
    assert lab["lee_egg"] + lab["lee_larva"] == pytest.approx(lab["lee_egg_to_larva_end"], abs=0.05)
    assert lab["lee_egg_to_larva_end"] * 1.8 == pytest.approx(640.6, abs=0.05)
    assert lab["lee_egg_to_larva_end"] * 1.8 == pytest.approx(number("cutworm_clock", "entry_pupa").value, abs=0.5)


def test_capture_rule_key_means_one_rule() -> None:
    """States that share a key share moths, nights and trap, and the key itself says them."""
    for row in rows("capture_rules"):
        trap = {"not stated": "any"}.get(row["trap_kind"], row["trap_kind"])
        assert row["key"] == f"{trap}-{row['moths']}-in-{row['nights']}"
        assert row["trap_kind"] in (*get_args(TrapKind), "not stated")


def test_states_use_their_own_rule() -> None:
    """Nine moths in the east of the belt, eight in the west; Missouri alone prints one for the cone trap."""
    by_key: dict[str, list[str]] = {}
    for row in rows("capture_rules"):
        by_key.setdefault(row["key"], []).append(row["state"])
    assert by_key == {
        "wing-9-in-2": ["Illinois", "Indiana", "Michigan", "Wisconsin"],
        "wing-8-in-2": ["Illinois (2000)", "Iowa", "Minnesota", "Pennsylvania", "Missouri"],
        "cone-17-in-1": ["Missouri"],
        "any-3-in-1": ["Pacific Northwest"],
    }


def test_pennsylvania_threshold_rises_with_the_stage() -> None:
    """2, 3, 5 and 7 cut plants per 100 from seedling to V4: a bigger plant bears more."""
    found = [row for row in rows("thresholds") if row["state"] == "Pennsylvania"]
    assert [(row["corn_stage"], row["percent_low"]) for row in found] == [
        ("seedling", "2"), ("V2", "3"), ("V3", "5"), ("V4", "7"),
    ]  # fmt: skip


def test_thresholds_that_need_live_larvae_say_so() -> None:
    """Treating a field the larvae have left is money lost, so the condition may not be dropped."""
    need = {row["state"] for row in rows("thresholds") if row["live_larvae"] == "yes"}
    assert need == {"Illinois", "Indiana", "Kentucky", "Delaware", "Tennessee"}
    assert {row["live_larvae"] for row in rows("thresholds")} == {"yes", ""}


def test_recalled_tables_say_so() -> None:
    """Larva sizes and the gauge card are recalled and not re-read: they may never look published."""
    assert {row["mark"] for row in rows("larva_sizes")} == {"memory"}
    assert {row["mark"] for row in rows("feeding_left") if row["stage"].endswith("card")} == {"memory"}


def test_derived_rows_are_assumptions() -> None:
    """Arithmetic of ours on published figures is ours: mark assumption, and the note says derived."""
    derived = [row for table in names() for row in rows(table) if row["note"].startswith("derived")]
    assert len(derived) > 10
    assert {row["mark"] for row in derived} == {"assumption"}


def test_count_intervals_follow_from_the_counts() -> None:
    """The ranges beside a count are Clopper–Pearson at 90 %, one-sided where none was cut."""
    for name, found in numbers("count_intervals").items():
        cut, _, of = name.removeprefix("cut_").split("_")
        k, n = int(cut), int(of)
        low = beta.ppf(0.05, k, n - k + 1) if k else 0.0
        high = beta.ppf(0.95, k + 1, n - k)
        assert found.value == pytest.approx(100 * k / n, abs=0.05)
        assert found.low == pytest.approx(100 * low, abs=0.05)
        assert found.high == pytest.approx(100 * high, abs=0.05)


def test_every_number_of_the_sheet_has_a_plain_name() -> None:
    """A page says what a number is in words; a plain name without a number is a leftover."""
    from springwalk.jobs.sources import TABLES, used_numbers
    from springwalk.tables import _plain_names, numbers

    told = {(table, name) for table, found in _plain_names().items() for name in found}
    assert told == {(table, name) for table in TABLES for name in numbers(table)}
    assert all(source for _, _, source in used_numbers())
