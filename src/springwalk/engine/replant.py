"""Keep the stand or replant it: dates, heat to frost, water in the grain, money, and the insurer's payment."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from springwalk.errors import BadValue

Array = NDArray[np.float64]
Word = Literal["replant", "keep", "call the insurer first", "too close to say"]


@dataclass(frozen=True)
class Money:
    """What a replant turns on: expected yield of a full early stand, its price, and costs.

    ``expected_yield`` is in any unit per area, ``price`` is for that unit, ``cost`` and ``drying_per_point`` (for each
    unit of yield and point of water) are in the same money and area.
    """

    expected_yield: float
    price: float
    cost: float
    drying_per_point: float = 0.0
    extra_points: float = 0.0


@dataclass(frozen=True)
class Terms:
    """Replant terms of a crop policy as typed from it; yields and price in the units of ``Money``, the rest shares."""

    history: float
    coverage: float
    projected_price: float
    share: float
    appraised_below: float
    most_yield: float
    most_of_guarantee: float


@dataclass(frozen=True)
class Payment:
    """What the terms give for a stand: guarantee and appraised yield, the yield it is paid below, and the money."""

    guarantee: float
    paid_below: float
    appraised: float
    money: float


def earliest_day(today: float, *, dry_days: float, kill_days: float, label_days: float, queue_days: float) -> float:
    """First real day of replanting, in the day numbers of ``today``; days are 0 or more and follow on each other.

    The ground dries, the old stand is killed, the label's interval passes, and the planter comes once it may: give
    ``queue_days`` from then on. Raises BadValue for days below 0.
    """
    parts = {"dry days": dry_days, "kill days": kill_days, "label days": label_days, "queue days": queue_days}
    for name, value in parts.items():
        if not value >= 0.0:
            raise BadValue(name, f"{value:g}", "must be 0 or more", "give the days still to wait", unit="days")
    return today + sum(parts.values())


def heat_needed_ddc(need_ddc: ArrayLike, day: ArrayLike, *, falls_ddc_per_day: float) -> Array:
    """Heat (°C·day) from planting to black layer of a hybrid planted on ``day`` (days after 30 April); broadcasts.

    ``need_ddc`` is the need when planted by 1 May; it falls for each day after. Source: Nielsen, Thomison et al. 2002,
    Indiana and Ohio, to early June.
    """
    late = np.maximum(np.asarray(day, float) - 1.0, 0.0)
    return np.asarray(np.asarray(need_ddc, float) - falls_ddc_per_day * late)


def frost_loss(
    need_ddc: float, heat_to_frost_ddc: ArrayLike, points: Sequence[tuple[float, float]]
) -> tuple[float, float]:
    """(share of years ripe before frost, mean share of yield lost to it) over heat sums to the first killing frost.

    ``heat_to_frost_ddc`` (years or members,) runs from planting to the frost, NaN years are left out. ``points`` are
    (°C·day short of black layer, share lost), rising from near none; straight between, the last slope going on, at
    most 1. Raises BadValue where no year is known.
    """
    heat = np.asarray(heat_to_frost_ddc, float).ravel()
    heat = heat[np.isfinite(heat)]
    if not len(heat):
        raise BadValue("heat to frost", "(none)", "no year is known", "give the heat of at least one year")
    short = np.maximum(need_ddc - heat, 0.0)
    at, lost = (np.array([0.0, *column]) for column in zip(*points, strict=True))
    slope = (lost[-1] - lost[-2]) / (at[-1] - at[-2])
    share = np.interp(short, at, lost) + slope * np.maximum(short - at[-1], 0.0)
    return float((short == 0.0).mean()), float(np.minimum(share, 1.0).mean())


def stand_after_larvae(stand_per_ha: ArrayLike, cut_share_new: ArrayLike) -> Array:
    """Plants per hectare left of a new stand once the larvae still there have cut a share (0 … 1) of it; broadcasts."""
    cut = np.asarray(cut_share_new, float)
    if not ((cut >= 0.0) & (cut <= 1.0)).all():
        raise BadValue("cut share", f"{cut.max():g}", "must be from 0 to 1", "give the share of new plants cut")
    return np.asarray(stand_per_ha, float) * (1.0 - cut)


def share_cut(plants_per_larva: ArrayLike, larvae_per_100: ArrayLike, weight: ArrayLike) -> tuple[float, float, float]:
    """Share of plants (0 … 1) that larvae will cut: the mean over belief and weather, and its 10 % and 90 % points.

    ``plants_per_larva`` (member, shift) cut by each larva from now on, ``larvae_per_100`` plant places (load,),
    ``weight`` (load, shift) of belief, summing to 1. A plant is cut once.
    """
    load, cut = np.asarray(larvae_per_100, float), np.asarray(plants_per_larva, float)
    share = -np.expm1(-load[None, :, None] * cut[:, None, :] / 100.0)
    chance = np.broadcast_to(np.asarray(weight, float) / len(cut), share.shape).ravel()
    order = np.argsort(share, axis=None)
    rank = np.cumsum(chance[order])
    low, high = (share.ravel()[order[np.searchsorted(rank, q * rank[-1])]] for q in (0.1, 0.9))
    return float(chance @ share.ravel()), float(low), float(high)


def gain(now_percent: ArrayLike, replant_percent: ArrayLike, money: Money) -> tuple[Array, Array]:
    """(yield gained, money gained after costs) per area by replanting, from percents of full yield; NaN stays NaN.

    Drying is charged on the replanted yield for its extra points of water. An insurer's payment is not in it.
    """
    now, then = (np.asarray(x, float) / 100.0 * money.expected_yield for x in (now_percent, replant_percent))
    drying = then * money.extra_points * money.drying_per_point
    more = then - now
    return more, more * money.price - money.cost - drying


def payment(now_percent: float, terms: Terms) -> Payment:
    """The replant payment per area for what a stand is appraised at, a percent of the history.

    Paid only where the appraised yield is below ``appraised_below`` × guarantee: the least of ``most_yield`` and
    ``most_of_guarantee`` × guarantee, × projected price × share. Raises BadValue for terms that cannot be.
    """
    for name in ("history", "projected_price", "most_yield"):
        _within(name, getattr(terms, name), high=np.inf)
    for name in ("coverage", "share", "appraised_below", "most_of_guarantee"):
        _within(name, getattr(terms, name), high=1.0)
    guarantee = terms.history * terms.coverage
    paid_below = terms.appraised_below * guarantee
    appraised = now_percent / 100.0 * terms.history
    least = min(terms.most_yield, terms.most_of_guarantee * guarantee)
    paid = appraised < paid_below
    return Payment(guarantee, paid_below, appraised, least * terms.projected_price * terms.share if paid else 0.0)


def advise(gains: ArrayLike, paid: float = 0.0, *, certain: bool = True) -> Word:
    """The advice from the money gained under each table (NaN: does not tell) and what the insurer would pay.

    All tables above 0: replant; none: keep; else too close to say. Where a payment is due and with it replanting gains
    under any table, the insurer comes first, since a stand torn up before it is appraised is not paid for. Where the
    gains are only the most possible (not ``certain``), replant becomes too close to say. Raises BadValue where no
    table tells.
    """
    told = np.asarray(gains, float)
    told = told[np.isfinite(told)]
    if not len(told):
        raise BadValue("tables", "(none)", "no table holds this case", "check stands and dates")
    if paid > 0.0 and (told + paid > 0.0).any():
        return "call the insurer first"
    if certain and (told > 0.0).all():
        return "replant"
    return "too close to say" if (told > 0.0).any() else "keep"


def _within(name: str, value: float, *, high: float) -> None:
    if not 0.0 < value <= high:
        rule = "must be above 0" if np.isinf(high) else "must be above 0 and at most 1"
        raise BadValue(name, f"{value:g}", rule, "type it as the policy has it")
