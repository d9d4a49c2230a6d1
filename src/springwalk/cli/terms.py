"""What a crop and a treatment are worth, as options that several commands share."""

from __future__ import annotations

from typing import Annotated

import typer

FieldIdArgument = Annotated[str, typer.Argument(metavar="FIELD", help="The field's id, as the sheet prints it.")]
YieldOption = Annotated[float, typer.Option("--yield", metavar="BU/ACRE", help="Yield expected, bushels an acre.")]
PriceOption = Annotated[float, typer.Option("--price", metavar="$/BU", help="What a bushel brings.")]
PassCostOption = Annotated[float, typer.Option("--pass-cost", metavar="$/ACRE", help="An own pass with its product.")]
SprayInOption = Annotated[
    int, typer.Option("--spray-in", metavar="DAYS", help="Days until an own pass could go; 0 is tonight.")
]
