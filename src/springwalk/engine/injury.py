"""Economic injury level: how many pests a plant, or what share cut, costs as much as the treatment.

Money and yield may be per acre or per hectare and the price per any unit of yield, as long as all use the same.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal, localcontext

from springwalk.errors import BadValue

_LEAST, _MOST = 1e-6, 1e9  # beyond these a number is a slip
_DIGITS = 60


@dataclass(frozen=True)
class Worksheet:
    """A cost and benefit sheet as it is worked on paper, each line rounded before it is written down.

    ``loss_share`` of the yield, ``loss_yield`` per area, ``loss_money`` and ``saved_money`` per area, ``ratio`` of cost
    to what is saved (below 1 pays), ``gain_money`` (negative: a loss) and ``level`` in pests per plant.
    """

    loss_share: float
    loss_yield: float
    loss_money: float
    saved_money: float
    ratio: float
    gain_money: float
    level: float


def injury_level(*, cost: float, crop_yield: float, price: float, loss_per_pest: float, control: float) -> float:
    """Pests per plant at which the loss prevented equals the cost: C / (V·Y·d·K).

    ``cost`` per area, ``crop_yield`` per area without the pest, ``price`` per unit of yield, ``loss_per_pest`` share of
    yield lost per pest on a plant, ``control`` share of that loss the treatment prevents. The loss is taken as straight
    in the number of pests. Raises BadValue. Source: Pedigo, Hutchins & Higley 1986, general form (memory).
    """
    _check(cost, crop_yield, price, loss_per_pest, control)
    return cost / (price * crop_yield * loss_per_pest * control)


def percent_cut_level(
    *, cost: float, crop_yield: float, price: float, loss_per_cut: float, share_prevented: float
) -> float:
    """Percent of plants still to be cut at which a treatment pays for itself: 100·C / (Y·P·E·L).

    ``loss_per_cut`` is the yield lost per lost plant (1: none is made up by its neighbours), ``share_prevented`` the
    share of the further loss that is prevented. It is about cutting to come, not cutting seen. Worked from the general
    form, not published. Raises BadValue.
    """
    return 100.0 * injury_level(
        cost=cost, crop_yield=crop_yield, price=price, loss_per_pest=loss_per_cut, control=share_prevented
    )


def worksheet(
    *, cost: float, crop_yield: float, price: float, loss_per_pest: float, control: float, pests_per_plant: float
) -> Worksheet:
    """The same level worked line by line for a number of pests on a plant, rounded as the published sheet rounds.

    The share lost is rounded to 3 decimals before it is used; money, yield and ratio are written to 2 decimals, and the
    next line is worked from the unrounded one. The level so found depends a little on ``pests_per_plant``. Raises
    BadValue. Source: Penn State, table 14 (first-generation European corn borer).
    """
    _check(cost, crop_yield, price, loss_per_pest, control)
    _above_0("pests_per_plant", pests_per_plant)
    with localcontext(prec=_DIGITS):
        return _worked(cost, crop_yield, price, loss_per_pest, control, pests_per_plant)


def _worked(
    cost: float, crop_yield: float, price: float, loss_per_pest: float, control: float, pests_per_plant: float
) -> Worksheet:
    share = _rounded(_exact(pests_per_plant) * _exact(loss_per_pest), 3)
    if not share:
        told = "the share of yield lost rounds to 0.000"
        raise BadValue("pests_per_plant", f"{pests_per_plant:g}", told, "work the sheet for more pests")
    if share > 1:
        told = f"{share:f} of the yield would be lost, more than all of it"
        raise BadValue("pests_per_plant", f"{pests_per_plant:g}", told, "work the sheet for fewer pests")
    lost = share * _exact(crop_yield)
    money = lost * _exact(price)
    saved = money * _exact(control)
    level = _exact(pests_per_plant) * _exact(cost) / saved
    gain = _rounded(saved, 2) - _exact(cost)
    lines = (_rounded(value, 2) for value in (lost, money, saved, _exact(cost) / saved, gain, level))
    return Worksheet(float(share), *(float(line) for line in lines))


def _exact(value: float) -> Decimal:
    """The number as it was typed, so that a half rounds as it does on paper."""
    return Decimal(repr(float(value)))


def _rounded(value: Decimal, decimals: int) -> Decimal:
    return value.quantize(Decimal(1).scaleb(-decimals), rounding=ROUND_HALF_UP)


def _check(cost: float, crop_yield: float, price: float, loss: float, control: float) -> None:
    for name, value in (("cost", cost), ("yield", crop_yield), ("price", price)):
        _above_0(name, value)
    for name, value in (("loss_per_pest", loss), ("control", control)):
        if not _LEAST <= value <= 1.0:
            raise BadValue(name, f"{value:g}", "must be above 0 and at most 1", "give a share, like 0.72 for 72 %")


def _above_0(name: str, value: float) -> None:
    if not _LEAST <= value <= _MOST:
        rule = f"outside {_LEAST:f} … {_MOST:,.0f}" if value > 0.0 else "must be above 0"
        raise BadValue(name, f"{value:g}", rule, "check the number")
