"""Weather cells: sharing a cell must not move a date, and doubtful days must not count."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from springwalk.engine.assess import assess
from springwalk.jobs import cells
from springwalk.jobs.cells import build_cells
from springwalk.jobs.params import load
from springwalk.jobs.rules import rules
from springwalk.jobs.sheet import row_of, sheet_of
from springwalk.jobs.snapshot import Snapshot
from springwalk.records import Station
from tests.jobs import made

PARAMS = load().weather
TODAY = date(2016, 5, 17)


def scattered(n: int = 40) -> Snapshot:
    """Fields scattered over half a degree between three stations that differ by up to 1.2 °C."""
    rng = np.random.default_rng(5)
    stations = [Station(id=f"S{k}", latitude=40.5 + 0.3 * k, longitude=-96.9 + 0.2 * k) for k in range(3)]
    past, this = made.past_rows(), made.lincoln_rows()
    rows = {
        s.id: sorted((d, lo + k * 0.6, hi + k * 0.6, r) for d, lo, hi, r in [*past, *this])
        for k, s in enumerate(stations)
    }
    records = [made.TRAP, made.FLIGHT, *stations]
    for k in range(n):
        name = f"f{k:02d}"
        records += [
            made.field(name, 40.5 + 0.5 * rng.random(), -96.9 + 0.4 * rng.random()),
            made.planting(name, date(2016, 5, 2)),
            made.event(name, 4, 1, "weeds seen", "dense"),
        ]  # fmt: skip
    from springwalk.jobs.snapshot import Told, build
    from springwalk.records import Catch, Event, Field, Planting, Trap, Walk, Zone

    kinds = (Field, Planting, Zone, Event, Trap, Catch, Walk, Station)
    told = Told(made.SEASON, {kind.kind: tuple(r for r in records if isinstance(r, kind)) for kind in kinds})
    return build(told, rows, today=TODAY)


@pytest.mark.slow
def test_a_cell_gives_the_dates_of_the_exact_place(monkeypatch: pytest.MonkeyPatch) -> None:
    """Cell against exact: the median date of every field differs by less than 0.3 day."""
    shared = scattered()
    monkeypatch.setattr(cells, "WEIGHT_STEP", 1e-9)
    exact = scattered()
    assert len(exact.cells.min_c) == 40
    assert len(shared.cells.min_c) < 30
    for name in ("can_cut_10_day", "can_cut_half_day", "begins_day"):
        a, b = (getattr(assess(s.inputs, s.settings.engine), name)[:, 1] for s in (shared, exact))
        assert np.median(np.abs(a - b)) < 0.15
        assert np.abs(a - b).max() < 0.3


def build(rows: list, **other: object) -> cells.Cells:
    """Cells of one place at one station."""
    got, _ = build_cells(
        made.SEASON, [made.STATION], {"L": rows}, [(40.7, -96.85, None)], today=TODAY, params=PARAMS, rules=rules()
    )
    assert got is not None
    return got


def test_a_misprinted_day_is_masked_and_said() -> None:
    """A day 40 °C off is not believed, is filled from its neighbours, and is on the sheet."""
    good = made.lincoln_rows()
    bad = [(d, lo, hi + 40 if d == "2016-04-22" else hi, r) for d, lo, hi, r in good]
    got, plain = build(bad), build(good)
    assert [n.code for n in got.notes if n.code == "weather_jumped"]
    day = (date(2016, 4, 22) - date(2016, 3, 1)).days
    assert abs(got.max_c[0, 0, day] - plain.max_c[0, 0, day]) < 8


def test_members_are_the_past_years() -> None:
    """Thirty past years give thirty members, the same up to yesterday and different from today on."""
    got = build(sorted([*made.past_rows(), *made.lincoln_rows()]))
    today = (TODAY - date(2016, 3, 1)).days
    assert got.min_c.shape == (1, 30, 137)
    assert np.ptp(got.min_c[0, :, :today], axis=0).max() == 0
    assert np.ptp(got.min_c[0, :, -1]) > 3
    assert (got.min_c <= got.max_c).all()
    assert got.basis.observed_to == date(2016, 5, 16)


def test_a_higher_field_is_cooler() -> None:
    """100 m above the station is 0.65 °C cooler (standard atmosphere, 6.5 °C per km)."""
    station = made.STATION.model_copy(update={"elevation_m": 350.0})
    rows = {"L": sorted([*made.past_rows(), *made.lincoln_rows()])}
    got, _ = build_cells(
        made.SEASON,
        [station],
        rows,
        [(40.7, -96.85, 350.0), (40.7, -96.85, 450.0)],
        today=TODAY,
        params=PARAMS,
        rules=rules(),
    )
    assert got is not None
    assert got.cell.tolist() == [0, 1]
    assert got.max_c[0, 0, 0] - got.max_c[1, 0, 0] == pytest.approx(0.65)


def two_stations(near_rows: list, far_rows: list, apart: float = 2.0) -> tuple[cells.Cells, tuple]:
    """Two places, each beside its own station."""
    far = made.STATION.model_copy(update={"id": "F", "name": "Far", "latitude": 40.695 + apart})
    places = [(40.7, -96.85, None), (40.7 + apart, -96.85, None)]
    got, notes = build_cells(
        made.SEASON,
        [made.STATION, far],
        {"L": near_rows, "F": far_rows},
        places,
        today=TODAY,
        params=PARAMS,
        rules=rules(),
    )
    assert got is not None
    return got, notes


def test_stale_weather_of_one_place_is_said_though_another_is_fresh() -> None:
    """A station that stopped in April matters to the fields beside it, whatever others report."""
    good = made.lincoln_rows()
    got, notes = two_stations([r for r in good if r[0] < "2016-04-28"], good)
    old = next(n for n in notes if n.code == "weather_old")
    assert old.facts == {"date": date(2016, 4, 27), "days": 20, "fields": 1}
    assert got.basis.observed_to == date(2016, 4, 27)


def test_a_gap_at_one_place_is_said_with_its_fields() -> None:
    """A hole at the near station is a hole for its fields, though the far one reports."""
    good = made.lincoln_rows()
    _, notes = two_stations([r for r in good if not "2016-04-21" <= r[0] <= "2016-05-09"], good)
    gap = next(n for n in notes if n.code == "weather_gap")
    assert (gap.facts["fields"], gap.facts["days"]) == (1, 19)
    _, notes = two_stations([r for r in good if r[0] >= "2016-04-10"], good)
    leading = next(n for n in notes if n.code == "weather_gap")
    assert leading.facts["to"] == date(2016, 4, 9)


def test_a_short_gap_is_filled_from_the_neighbour_and_said() -> None:
    """Two missing days take the neighbour's course, and the sheet says that they were filled."""
    good = made.lincoln_rows()
    holed = [r for r in good if r[0] not in ("2016-05-06", "2016-05-07")]
    got, notes = two_stations(holed, good, apart=0.3)
    assert [n.facts["days"] for n in notes if n.code == "weather_filled"] == [2]
    plain, _ = two_stations(good, good, apart=0.3)
    np.testing.assert_allclose(got.max_c[0], plain.max_c[0], atol=0.2)


def test_a_far_station_is_said() -> None:
    """Weather from 200 km off is used for want of better, and the sheet says how far it is."""
    got, notes = build_cells(
        made.SEASON,
        [made.STATION],
        {"L": made.lincoln_rows()},
        [(42.6, -96.85, None)],
        today=TODAY,
        params=PARAMS,
        rules=rules(),
    )
    assert got is not None
    far = next(n for n in notes if n.code == "station_far")
    assert far.facts["km"] == pytest.approx(212, abs=3)


def test_a_station_nobody_can_believe_is_dropped_aloud() -> None:
    """The same extremes every day: no cell, and the reason is kept for the sheet."""
    stuck = [(day, 10.0, 21.0, None) for day, _, _, _ in made.lincoln_rows()]
    got, notes = build_cells(
        made.SEASON, [made.STATION], {"L": stuck}, [(40.7, -96.85, None)], today=TODAY, params=PARAMS, rules=rules()
    )
    assert got is None
    assert [n.code for n in notes] == ["weather_repeated"]


def test_past_years_are_moved_to_the_place() -> None:
    """A place 3 °C colder than the station that has past years: its members are colder by as much."""
    cold = [(d, lo - 3, hi - 3, r) for d, lo, hi, r in made.lincoln_rows()]
    warm = sorted([*made.past_rows(), *made.lincoln_rows()])
    beside = made.STATION.model_copy(update={"id": "F", "name": "Cold", "latitude": 41.3})
    got, _ = build_cells(
        made.SEASON,
        [made.STATION, beside],
        {"L": warm, "F": cold},
        [(40.7, -96.85, None), (41.3, -96.85, None)],
        today=TODAY,
        params=PARAMS,
        rules=rules(),
    )
    assert got is not None
    at_station, place = got.max_c[:, :, -20:].mean(axis=(1, 2))
    seen_station, seen_place = got.max_c[:, 0, :60].mean(axis=1)
    assert place - at_station == pytest.approx(seen_place - seen_station, abs=0.3)
    assert place - at_station < -2


def test_one_field_alone_gets_its_row_of_the_sheet() -> None:
    """A field's page works its own cell only, and must say what the sheet says."""
    snap = scattered(12)
    rows = {row.field: row for row in (*sheet_of(snap).rows, *sheet_of(snap).rest)}
    assert len(snap.cells.min_c) > 1
    for name in ("f00", "f05", "f11"):
        assert row_of(snap, name) == rows[name]
