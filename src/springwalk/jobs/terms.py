"""What the crop, a treatment and an hour are worth: typed by whoever asks, else by the season, else an assumption."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from springwalk.errors import BadValue
from springwalk.jobs.results import Result
from springwalk.records import Season
from springwalk.tables import number
from springwalk.units import ACRES_PER_HA

_TOLD = {
    "crop": "crop_bu_ac", "price": "price_usd_bu", "own_pass": "pass_usd_ac", "product": "product_usd_ac",
    "wage": "wage_usd_h", "days_to_sprayer": "days_to_sprayer",
}  # fmt: skip
"""Names of the table of money → names in the season's record."""


class TermsSaid(Result):
    """The money an answer was made with, as people talk of it; ``assumed`` names what nobody typed."""

    crop_bu_ac: float
    price_usd_bu: float
    pass_usd_ac: float
    product_usd_ac: float
    wage_usd_h: float
    days_to_sprayer: int
    assumed: tuple[str, ...]


@dataclass(frozen=True)
class Hours:
    """What an hour of the walker costs, and what it would earn in the other fields of the day (0 = not known)."""

    wage_per_h: float
    worth_per_h: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what can't be a wage; raises BadValue."""
        for name, value in (("wage", self.wage_per_h), ("worth of an hour", self.worth_per_h)):
            if not 0.0 <= value < 10_000.0:
                raise BadValue(name, f"{value:g}", "must be 0 or above and below 10,000", "give money an hour")


@dataclass(frozen=True)
class Terms:
    """What the crop and a treatment are worth; money per ha, a visit per field.

    ``spray_in_days`` when an own pass could go, ``pass_in_days`` when a pass goes anyway. ``said`` is None where the
    terms were not made for a season.
    """

    crop_per_ha: float
    own_pass_per_ha: float
    product_per_ha: float
    visit: float
    spray_in_days: tuple[int, ...] = (1,)
    pass_in_days: int | None = None
    said: TermsSaid | None = field(default=None, compare=False)

    @classmethod
    def per_acre(cls, *, bushels: float, price: float, own_pass: float, product: float, visit: float,
                 spray_in_days: tuple[int, ...] = (1,), pass_in_days: int | None = None,
                 said: TermsSaid | None = None) -> Terms:  # fmt: skip
        """Terms from bushels an acre, money a bushel and money an acre; raises BadValue for what can't be."""
        for name, value in (("yield", bushels), ("price", price), ("cost of a pass", own_pass)):
            if not 0.0 < value < 1e6:
                raise BadValue(name, f"{value:g}", "must be above 0", "check the number")
        for name, value in (("cost of the product", product), ("cost of a visit", visit)):
            if not 0.0 <= value < 1e6:
                raise BadValue(name, f"{value:g}", "must be 0 or above", "check the number")
        if not spray_in_days or min(spray_in_days) < 0:
            told = ", ".join(str(day) for day in spray_in_days) or "none"
            raise BadValue("days to the sprayer", told, "must be 0 or more", "give the days until a pass could go")
        if pass_in_days is not None and pass_in_days < 0:
            raise BadValue("days to the pass", f"{pass_in_days}", "must be 0 or more", "give the days until it goes")
        acre = ACRES_PER_HA
        return cls(bushels * price * acre, own_pass * acre, product * acre, visit, spray_in_days, pass_in_days, said)


def terms_of(
    season: Season, typed: Mapping[str, float | None] | None = None, *, visit: float | None = None,
    pass_in_days: int | None = None,
) -> Terms:  # fmt: skip
    """Terms of a season: what is ``typed`` (names of the table of money) goes first, then what the season tells.

    What neither tells is the table's assumption, named in ``said.assumed``. ``visit`` None = its usual minutes at the
    wage. Raises BadValue for money that can't be.
    """
    values, assumed = {}, []
    for name, told in _TOLD.items():
        value = (typed or {}).get(name)
        value = getattr(season.money, told) if value is None else value
        if value is None:
            value = number("money", name).value
            assumed.append(name)
        values[name] = float(value)
    said = TermsSaid(
        crop_bu_ac=values["crop"], price_usd_bu=values["price"], pass_usd_ac=values["own_pass"],
        product_usd_ac=values["product"], wage_usd_h=values["wage"], days_to_sprayer=int(values["days_to_sprayer"]),
        assumed=tuple(assumed),
    )  # fmt: skip
    Hours(said.wage_usd_h)
    minutes = number("money", "visit_minutes").value
    return Terms.per_acre(
        bushels=said.crop_bu_ac, price=said.price_usd_bu, own_pass=said.pass_usd_ac, product=said.product_usd_ac,
        visit=said.wage_usd_h * minutes / 60.0 if visit is None else visit, spray_in_days=(said.days_to_sprayer,),
        pass_in_days=pass_in_days, said=said,
    )  # fmt: skip
