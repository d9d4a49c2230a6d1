"""Usual headings: read without being mapped, said aloud, and never at the price of a wrong guess."""

from __future__ import annotations

from springwalk.intake.usual import usual_places


def places(*headings: str, missing: tuple[str, ...], taken: tuple[str, ...] = ()) -> dict[str, str]:
    """What stands in for the missing columns in a file with these headings."""
    found: dict[str, list[int]] = {}
    for at, heading in enumerate(headings):
        found.setdefault(heading, []).append(at)
    return usual_places(found, missing, taken)


def test_a_trap_log_of_ones_own_is_read() -> None:
    """The headings of a notebook: where, what kind, when looked at, how many."""
    got = places(
        "location", "trap_type", "lat", "checked", "bcw_moths", missing=("trap", "kind", "latitude", "read", "moths")
    )
    assert got == {
        "trap": "location", "kind": "trap_type", "latitude": "lat", "read": "checked", "moths": "bcw_moths",
    }  # fmt: skip


def test_a_heading_that_could_be_two_columns_is_left_alone() -> None:
    """One heading never fills two columns, and one that stands twice fills none."""
    assert places("day", missing=("date", "read")) == {}
    assert places("lat", "lat", missing=("latitude",)) == {}


def test_a_heading_that_is_ours_already_is_not_taken_again() -> None:
    """``date`` of a walk is its date, not the reading of a trap."""
    assert places("date", missing=("read",), taken=("date",)) == {}


def test_usual_headings_are_noted_in_the_receipt(folder) -> None:  # type: ignore[no-untyped-def]
    """A wrong guess must be seen: what was read as what is listed."""
    folder.write("plantings.csv", "Fld,Planting date\nnorth,2016-05-02\n")
    read = folder.read()["plantings.csv"]
    assert [r.planted.isoformat() for r in read.records] == ["2016-05-02"]
    assert any(
        "Fld = field, Planting date = planted: usual headings read as our columns" in str(f) for f in read.faults
    )
