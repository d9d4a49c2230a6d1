"""What a visit to each field is worth today, in money: snapshot → belief → losses → stop tables. Writes nothing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from springwalk.engine.advice_facts import Money
from springwalk.engine.found import treatable
from springwalk.engine.losses import Plants, loss_nodes
from springwalk.engine.many import Costs, Many
from springwalk.engine.stopping import stop_cost
from springwalk.engine.values import worth
from springwalk.jobs.believed import Believed
from springwalk.jobs.params_advice import advice_params
from springwalk.jobs.params_stopping import stop_params
from springwalk.jobs.snapshot import Snapshot
from springwalk.jobs.terms import Hours, Terms
from springwalk.jobs.units import Unit
from springwalk.jobs.walks_seen import last_search, searched_since, treated_on
from springwalk.records import Walk

CENT = 0.01
LATER_DAYS = (3, 7)
"""Days from today on which a later look is thought of."""


@dataclass(frozen=True)
class FieldWorth:
    """A visit for cutworm today: ``prize`` money, its stops unpaid; ``stops``, searches for larvae and ``minutes``
    expected in the field.

    ``decided``: in some part live larvae were found, and treating it is the best there is without another look.
    """

    field: str
    prize: float
    stops: float
    searches: float
    minutes: float
    decided: bool = False


def many_of(snap: Snapshot, known: Believed, terms: Terms, at: Sequence[int], fit: Mapping[str, date | None]) -> Many:
    """Some of the believed units (by place among them), ready to be valued; ``fit`` as `fit_on` tells it."""
    params, today = advice_params(), (snap.today - snap.season.begins).days
    place = np.array(at, np.int64)
    units = [snap.units[known.units[k]] for k in at]
    collars = known.hazard.collars[place, min(today, known.hazard.collars.shape[1] - 1)]
    soils = [_soil(snap, unit.field.id) for unit in units]
    lost = [_loss(Plants(collars=float(c), soil=soil)) for c, soil in zip(collars, soils, strict=True)]
    return Many(
        weight=known.belief.weight[place], lam=known.belief.grid.lam, hazard=known.hazard, place=place, today=today,
        area_ha=np.array([unit.area_ha for unit in units]), fit_in=_fit_in(snap, units, fit),
        loss_per_cut=np.array(lost), collars=collars, collars_sd=np.full(len(at), params.collars_unseen_sd),
        money=Money(terms.crop_per_ha, terms.own_pass_per_ha, terms.product_per_ha),
        spray_in_days=terms.spray_in_days, pass_in_days=terms.pass_in_days,
        live=np.array([_live(snap, known, k) for k in at], bool), params=params,
    )  # fmt: skip


def _live(snap: Snapshot, known: Believed, k: int) -> bool:
    """Whether the newest search that still tells found larvae of a size worth treating."""
    newest = last_search(known.walks_of(k), since=searched_since(snap))
    return newest is not None and treatable(newest, advice_params().found) > 0


def _fit_in(snap: Snapshot, units: Sequence[Unit], fit: Mapping[str, date | None]) -> NDArray[np.int64]:
    """Days until the ground of each unit's field carries a pass (u,); 0 where it does or nobody can say."""
    days = [fit[unit.field.id] for unit in units]
    return np.array([(day - snap.today).days if day is not None else 0 for day in days], np.int64)


def _loss(plants: Plants) -> float:
    loss, weight = loss_nodes(plants, advice_params().yields)
    return float(loss @ weight)


def _soil(snap: Snapshot, field: str) -> str | None:
    """The soil of the field's newest walk, where it was told in the last days."""
    walks: Sequence[Walk] = snap.walks.get(field, ())
    told = [w.soil for w in walks if w.soil and (snap.today - w.walked).days <= LATER_DAYS[0]]
    return told[-1] if told else None


def costs_of(terms: Terms, hours: Hours) -> Costs:
    """What stops, a search and a later visit cost; the hour at its wage or what it would earn elsewhere."""
    params = stop_params()

    def at_wage(minutes: float) -> float:
        """Later hours cost the wage: what today's hour would earn elsewhere is today's matter."""
        return stop_cost(minutes, wage_per_h=hours.wage_per_h, hour_worth=0.0)

    searches = params.most_searches

    def money(minutes: float) -> float:
        return stop_cost(minutes, wage_per_h=hours.wage_per_h, hour_worth=hours.worth_per_h)

    return Costs(
        stop=money(params.minutes_per_stop), search=searches * money(params.minutes_per_search),
        later_visit=terms.visit + params.stops_later * at_wage(params.minutes_per_stop),
        later_search=searches * at_wage(params.minutes_per_search), plants=params.plants_per_search * searches,
        stops_later=params.stops_later,
        later_days=LATER_DAYS, count=params.count,
    )  # fmt: skip


def worth_of(
    snap: Snapshot, known: Believed, terms: Terms, hours: Hours, fit: Mapping[str, date | None]
) -> tuple[FieldWorth, ...]:
    """What a visit for cutworm is worth to every field among the believed units that was not treated; pure.

    A visit counts every part on its own, so a field's worth is the sum over its parts.
    """
    params, costs = stop_params(), costs_of(terms, hours)
    at = [k for k, unit in enumerate(known.units) if treated_on(snap, unit) is None]
    found = worth(many_of(snap, known, terms, at, fit), costs)
    rows: dict[str, list[int]] = {}
    for row, k in enumerate(at):
        rows.setdefault(snap.units[known.units[k]].field.id, []).append(row)
    out = []
    for field, every in rows.items():
        mine = [row for row in every if found.prize[row] >= CENT]
        stops, prize = float(found.stops[mine].sum()), float(found.prize[mine].sum())
        searches = float(found.searches[mine].sum())
        out.append(
            FieldWorth(
                field=field, prize=prize + stops * costs.stop + searches * costs.search, stops=stops, searches=searches,
                minutes=stops * params.minutes_per_stop + searches * params.most_searches * params.minutes_per_search,
                decided=any(int(found.wait_days[row]) < 0 for row in every),
            )
        )  # fmt: skip
    return tuple(out)
