"""Seedbeds of a snapshot: what is known on the morning, what not knowing rain does, and textures."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from springwalk.errors import BadValue
from springwalk.jobs.results import Seedbed
from springwalk.jobs.seedbed import SD_10_90, seedbed_days, seedbeds
from springwalk.jobs.seedbed_params import seedbed_params
from springwalk.jobs.snapshot import Snapshot
from springwalk.records.places import Texture
from springwalk.tables import numbers
from springwalk.units import c_to_f
from tests.jobs import made

TODAY = date(2016, 5, 17)
BEGINS = made.SEASON.begins
DAYS = (made.SEASON.ends - BEGINS).days + 1


def textured(name: str, texture: Texture | None) -> object:
    """A field of a texture."""
    return made.field(name).model_copy(update={"texture": texture})


def season(today: date = TODAY, textures: tuple[Texture | None, ...] = (None,)) -> Snapshot:
    """Fields a, b, … of the given textures beside the real station, with no flight."""
    fields = [textured(chr(ord("a") + k), texture) for k, texture in enumerate(textures)]
    return made.snapshot([*fields, made.STATION], today)  # type: ignore[list-item]


def rain(snap: Snapshot, fallen: dict[date, float], *, known: bool = True) -> tuple[np.ndarray, np.ndarray]:
    """(rain, known) of every field: what fell on dates, else none."""
    out = np.zeros((len(snap.fields), DAYS))
    for day, mm in fallen.items():
        out[:, (day - BEGINS).days] = mm
    return out, np.full(out.shape, known)


def bed(today: date, fallen: dict[date, float]) -> Seedbed:
    """The one field's seedbed."""
    snap = season(today)
    found = seedbeds(snap, *rain(snap, fallen))[0]
    assert found is not None
    return found


def test_dry_spring_is_fit_already() -> None:
    """No rain since March: the layer is as dry as it gets, and no date is given because it is fit today."""
    found = bed(TODAY, {})
    assert found.drained_mm is not None
    assert found.drained_mm.low <= found.drained_mm.mid <= found.drained_mm.high
    assert found.drained_mm.mid == pytest.approx(found.holds_mm, rel=0.02)
    assert (found.fit_on, found.rain_known) == (None, True)


def test_soaked_yesterday_is_fit_days_later() -> None:
    """25 mm on the 16th: nearly wet through, and the rain of two days keeps off until the 19th."""
    found = bed(TODAY, {TODAY - timedelta(days=1): 25.0})
    assert found.drained_mm is not None
    assert found.drained_mm.mid < 6.0
    assert found.fit_on == date(2016, 5, 19)


def test_small_rain_on_wet_ground_waits_for_drying_only() -> None:
    """Soaked on the 14th, 9 mm told this morning: under 10 mm in the window, so the balance alone dates it."""
    found = bed(TODAY, {date(2016, 5, 14): 40.0, TODAY: 9.0})
    assert found.drained_mm is not None
    assert found.drained_mm.mid < 3.0
    assert found.fit_on is not None
    assert TODAY < found.fit_on <= date(2016, 5, 19)


def test_rain_told_for_today_wets_this_morning() -> None:
    """A gauge read this morning counts at once."""
    before, after = bed(TODAY, {}), bed(TODAY, {TODAY: 8.0})
    assert before.drained_mm is not None
    assert after.drained_mm is not None
    assert after.drained_mm.mid == pytest.approx(before.drained_mm.mid - 8.0)


def test_nothing_dated_later_is_read() -> None:
    """Rain after today, and weather of today and later, change nothing of this morning."""
    snap, wet = season(), {TODAY - timedelta(days=1): 25.0}
    plain = seedbeds(snap, *rain(snap, wet))
    assert plain[0] is not None
    assert plain[0].fit_on is not None
    assert seedbeds(snap, *rain(snap, {**wet, TODAY + timedelta(days=1): 50.0})) == plain
    warmer = [(d, *((low + 9, high + 9) if d >= "2016-05-17" else (low, high)), mm)  # type: ignore[operator]
              for d, low, high, mm in made.lincoln_rows()]  # fmt: skip
    rows = sorted([*made.past_rows(), *warmer])
    assert seedbeds(made.snapshot([made.field("a"), made.STATION], TODAY, rows=rows), *rain(snap, wet)) == plain


def test_unknown_rain_is_not_dry_ground() -> None:
    """Nobody told any rain: soil is told, water is not, and no day is promised."""
    snap = season()
    found = seedbeds(snap, *rain(snap, {}, known=False))[0]
    assert found is not None
    assert found.soil_c is not None
    assert (found.rain_known, found.drained_mm, found.fit_on) == (False, None, None)
    assert found.holds_mm == 21.5


def test_missing_rain_is_not_known_whatever_is_said_of_it() -> None:
    """A NaN marked as known would make the ground neither wet nor dry: it counts as not told."""
    snap = season()
    none = np.full((1, DAYS), np.nan)
    assert seedbeds(snap, none, np.ones((1, DAYS), bool)) == seedbeds(snap, none, np.zeros((1, DAYS), bool))


def test_yesterdays_rain_not_told_widens_the_range() -> None:
    """One day not told: the low end is wet, the middle is as if none fell."""
    snap = season()
    mm, known = rain(snap, {})
    known[:, (TODAY - BEGINS).days - 1] = False
    found = seedbeds(snap, mm, known)[0]
    assert found is not None
    assert found.drained_mm is not None
    assert found.rain_known
    assert found.drained_mm.low < 6.0
    assert found.drained_mm.mid > 20.0


def test_lincoln_cold_spell_of_late_april_in_fahrenheit() -> None:
    """30 April 2016: three days' air under 50 °F; soil has fallen to 56 °F and its range reaches down near 50 °F."""
    found = bed(date(2016, 4, 30), {})
    assert found.soil_c is not None
    low, mid, high = (float(c_to_f(x)) for x in (found.soil_c.low, found.soil_c.mid, found.soil_c.high))
    assert mid == pytest.approx(56.8, abs=0.1)
    assert mid - low == pytest.approx(high - mid)
    assert mid - low == pytest.approx(1.8 * SD_10_90 * 2.2, abs=1e-6)
    later = bed(date(2016, 5, 2), {}).soil_c
    assert later is not None
    assert c_to_f(later.low) < 50.0 < c_to_f(later.mid)


def test_soil_begins_at_the_air_of_the_first_days() -> None:
    """On 2 March one day is known; the soil is begun from it, and the first morning has no yesterday."""
    snap = season(date(2016, 3, 2))
    found = seedbeds(snap, *rain(snap, {}))[0]
    assert found is not None
    days = seedbed_days(snap, *rain(snap, {}))
    assert days is not None
    assert snap.cells is not None
    air = float((snap.cells.min_c + snap.cells.max_c)[0, :, 0].mean() / 2)
    params = seedbed_params().soil
    share = 0.24 * np.exp(-0.017 * 5)
    surface = 0.2 * air if air < 0 else air * (0.95 + 0.05 * np.exp(1.2))
    assert days.params.soil == params
    assert float(days.soil_c[0, 0]) == pytest.approx(air + (surface - air) * share)
    first = season(BEGINS)
    assert seedbeds(first, *rain(first, {})) == (None,)


def test_texture_picks_the_layer_and_none_is_silt_loam() -> None:
    """Sand holds 9 mm and dries out first; a field whose texture nobody told is a silt loam."""
    snap = season(textures=("sand", "silt loam", None, "clay"))
    wet = rain(snap, {TODAY - timedelta(days=4): 50.0})
    found = [b for b in seedbeds(snap, *wet) if b is not None]
    assert [b.holds_mm for b in found] == [9.0, 21.5, 21.5, 25.5]
    assert found[1] == found[2]
    assert found[0].drained_mm is not None
    assert found[3].drained_mm is not None
    assert found[0].drained_mm.mid / 9.0 > found[3].drained_mm.mid / 25.5


def test_days_carry_what_the_looks_need() -> None:
    """Axes and bounds of the arrays; from today on they run as if no more rain fell."""
    snap = season(textures=("loam", None))
    days = seedbed_days(snap, *rain(snap, {TODAY - timedelta(days=3): 30.0}))
    assert days is not None
    assert days.soil_c.shape == days.et0_mm.shape == days.too_wet.shape == (2, DAYS)
    assert days.de_mm.shape == (2, DAYS, 3)
    assert np.all(np.diff(days.de_mm[:, days.today :], axis=1) >= 0.0)
    assert days.too_wet[0, days.today - 3 : days.today + 1].tolist() == [True, True, True, False]


def test_no_weather_no_seedbed() -> None:
    """Without a station nothing is known of the soil."""
    snap = replace(season(), cells=None)
    assert seedbed_days(snap, *rain(snap, {})) is None
    assert seedbeds(snap, *rain(snap, {})) == (None,)


def test_wrong_shape_says_what_is_wanted() -> None:
    """Rows lost on the way may not be spread over other fields."""
    snap = season()
    text = (
        f"rain = shape (2, {DAYS}): the season has 1 fields and {DAYS} days; give one row a field and one column a day."
    )
    with pytest.raises(BadValue, match=f"^{re.escape(text)}$"):
        seedbed_days(snap, np.zeros((2, DAYS)), np.ones((2, DAYS), bool))


def test_textures_agree_with_their_moistures() -> None:
    """FAO-56 table 19 gives TEW and the moistures: eq. 73 of the middles falls inside each printed TEW range."""
    found = numbers("fao56_textures")
    depth = numbers("surface_water")["layer_depth"].value
    for name in seedbed_params().textures:
        key = name.replace(" ", "_")
        full, dry = found[f"{key}_field_capacity"].value, found[f"{key}_wilting_point"].value
        tew = found[f"{key}_tew"]
        assert tew.low is not None
        assert tew.high is not None
        assert tew.low <= 1000.0 * (full - 0.5 * dry) * depth <= tew.high
