"""The next window for a pass: rain closes it for days, and advice then counts what is cut while one waits."""

from __future__ import annotations

from datetime import date, timedelta

from springwalk.jobs.advise import advise_of
from springwalk.jobs.fit import fit_on
from springwalk.jobs.terms import terms_of
from springwalk.records import Gauge
from tests.jobs.made import FOUR, SEASON, snapshot
from tests.jobs.test_changed import MAY_24, walk

DRY = [Gauge(date=MAY_24 - timedelta(days=d), rain_mm=0.0) for d in range(30)]
WET = [*DRY[1:], Gauge(date=MAY_24, rain_mm=45.0, hard=True)]


def test_a_dry_field_is_fit_today_and_a_soaked_one_later() -> None:
    """The surface layer of FAO-56 dries at the evaporation of the day, so the window opens days after the rain."""
    assert fit_on(snapshot([*FOUR, *DRY], MAY_24))["at-planting"] is None
    soaked = fit_on(snapshot([*FOUR, *WET], MAY_24))["at-planting"]
    assert soaked is not None
    assert MAY_24 < soaked <= MAY_24 + timedelta(days=10)


def test_advice_waits_for_the_window() -> None:
    """No pass is dated before the ground carries it, and waiting is never cheaper than going at once."""
    found = walk("at-planting", 2, larvae=4)
    dry, wet = (advise_of(snapshot([*FOUR, *rain, found], MAY_24), terms_of(SEASON))[0].parts[0] for rain in (DRY, WET))
    day = {option.on for option in wet.options if option.kind == "spray"}
    assert dry.fit_on is None
    assert wet.fit_on is not None
    assert min(day) == max(wet.fit_on, MAY_24 + timedelta(days=2))
    least = [min(o.lost_per_ha for o in part.options if o.kind == "spray") for part in (dry, wet)]
    assert least[0] <= least[1] + 1e-9


def test_rain_nobody_knows_closes_nothing() -> None:
    """Without a gauge or station rain the ground is not judged."""
    assert fit_on(snapshot([*FOUR], date(2016, 5, 24)))["at-planting"] is None
