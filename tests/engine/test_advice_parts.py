"""A field of parts: the wet corner is treated for itself, and the field's per cent is weighted by area."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from springwalk.engine import belief
from springwalk.engine.advice import Advice, advise
from springwalk.engine.advice_facts import FieldFacts
from springwalk.engine.advice_parts import Part, advise_parts
from springwalk.engine.losses import Plants, outlook
from springwalk.engine.state_rule import Counted
from springwalk.errors import BadValue
from springwalk.jobs.params_advice import advice_params
from springwalk.units import ACRES_PER_HA
from tests.advising import GREEN, GRID, MAY_24, USUAL, advise_known, facts, known, lincoln

V2 = Plants(collars=2.4, collars_seen=True, soil="moist")
CORNER = (4, 0, 3, 2, 0, 5, 1, 2)
REST = (0, 0, 1, 0, 0, 0, 0, 0)


def _walked(cuts: tuple[int, ...], found: int) -> Advice:
    """Advice for one part of the green field from eight stops of 20 plants and a search at dusk."""
    hazard = lincoln(today=MAY_24, collars=2.4)
    stops = tuple(belief.StopSeen(20, fresh, 0) for fresh in cuts)
    walk = belief.WalkSeen(
        GREEN, MAY_24, stops, larvae_found=found, plants_searched=40, hour=20, soil="moist", lengths_mm=(16.0,) * found
    )
    weight = belief.believe([walk], hazard, np.full(4, 0.3), GRID, advice_params().belief).weight[GREEN]
    given = FieldFacts(USUAL, V2, Counted(cut=100.0 * sum(cuts) / 160.0, collars=2.4), walk)
    return advise(weight, GRID.lam, outlook(hazard, GREEN, MAY_24), given, advice_params())


def test_wet_corner_is_treated_alone() -> None:
    """17 of 160 on 12 weedy low acres and 1 of 160 on the other 68: 2.1 % of the field, and only the 12 are sprayed."""
    parts = [
        Part("wet corner", 12 / ACRES_PER_HA, 100 * 17 / 160, _walked(CORNER, 4)),
        Part("rest", 68 / ACRES_PER_HA, 100 * 1 / 160, _walked(REST, 0)),
    ]
    said = advise_parts(parts)
    assert said.percent_cut == pytest.approx(2.1, abs=0.05)
    assert (said.what, said.treat) == ("part", ("wet corner",))
    assert said.as_advised < min(said.left, said.all_treated)


def _part(name: str, load: float, *, ha: float = 4.0) -> Part:
    return Part(name, ha, 1.0, advise_known(load, known(4.0), facts(replace(V2, loss_per_cut=0.6), kill=0.9)))


def test_parts_that_all_ask_make_the_whole_field() -> None:
    """All parts over the break-even are one pass over the whole."""
    said = advise_parts([_part("a", 10.0), _part("b", 12.0)])
    assert (said.what, said.treat) == ("whole", ("a", "b"))
    assert said.as_advised == pytest.approx(said.all_treated)


def test_small_saving_does_not_pay_a_trip() -> None:
    """A corner saves $8 an acre on one acre: a trip of $50 eats it, and leaving it costs what leaving costs."""
    corner, rest = _part("corner", 1.3, ha=0.4), _part("rest", 0.1)
    assert advise_parts([corner, rest]).treat == ("corner",)
    said = advise_parts([corner, rest], trip_money=50.0)
    assert (said.what, said.treat) == ("none", ())
    assert said.as_advised == pytest.approx(said.left)


def test_order_of_parts_never_matters() -> None:
    """The same parts the other way round give the same field."""
    parts = [_part("a", 10.0), _part("b", 0.1, ha=9.0)]
    there, back = advise_parts(parts), advise_parts(parts[::-1])
    assert (there.percent_cut, there.treat) == (back.percent_cut, back.treat)
    assert there.as_advised == pytest.approx(back.as_advised)


@pytest.mark.parametrize(
    ("areas", "told"),
    [
        ([], "parts = none: a field needs at least one part; give the whole field as one part."),
        ([0.0], "area_ha = 0 ha: must be above 0; give the area of the part."),
    ],
)
def test_field_without_ground_is_refused(areas: list[float], told: str) -> None:
    """A mean over no area would be nonsense on a page."""
    with pytest.raises(BadValue, match=f"^{re.escape(told)}$"):
        advise_parts([_part("a", 1.0, ha=area) for area in areas])
