"""What a crop, a treatment and an hour are worth, as options that several commands share."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from springwalk.jobs.terms import Terms
    from springwalk.store import Store

YieldOption = Annotated[
    float | None, typer.Option("--yield", metavar="BU/ACRE", help="Yield expected, bushels an acre.")
]
PriceOption = Annotated[float | None, typer.Option("--price", metavar="$/BU", help="What a bushel brings.")]
PassCostOption = Annotated[
    float | None, typer.Option("--pass-cost", metavar="$/ACRE", help="An own pass with its product.")
]
ProductOption = Annotated[
    float | None,
    typer.Option("--product-cost", metavar="$/ACRE", help="The product alone, on a pass that goes anyway."),
]
PassInOption = Annotated[
    int | None, typer.Option("--pass-in", metavar="DAYS", help="Days until a pass goes anyway; none if not given.")
]
SprayInOption = Annotated[
    int | None, typer.Option("--spray-in", metavar="DAYS", help="Days until an own pass could go; 0 is tonight.")
]
WageOption = Annotated[float | None, typer.Option("--wage", metavar="$/H", help="An hour of whoever walks.")]
VisitOption = Annotated[float | None, typer.Option("--visit", metavar="$", help="What another visit costs.")]


def terms_for(
    opened: Store, *, bushels: float | None = None, price: float | None = None, own_pass: float | None = None,
    product: float | None = None, wage: float | None = None, spray_in: int | None = None, visit: float | None = None,
    pass_in: int | None = None,
) -> Terms:  # fmt: skip
    """Terms of the store's season with what was typed in front."""
    from springwalk.jobs.snapshot import season_of
    from springwalk.jobs.terms import terms_of

    typed = {
        "crop": bushels, "price": price, "own_pass": own_pass, "product": product, "wage": wage,
        "days_to_sprayer": spray_in,
    }  # fmt: skip
    return terms_of(season_of(opened), typed, visit=visit, pass_in_days=pass_in)
