"""Command on a stand alone, no store needed: stand."""

from __future__ import annotations

from typing import Annotated, Any

import typer

from springwalk.cli.talk import JsonOption, say, say_json


def stand(
    row_width: Annotated[str, typer.Option("--row-width", metavar="WIDTH", help="Between rows, like 30in or 0.76m.")],
    counts: Annotated[str, typer.Option("--counts", metavar="N,N,…", help="Plants of each count; halves may be.")],
    length: Annotated[
        str | None,
        typer.Option("--length", metavar="LENGTH", help="Row counted each time, like 17ft5in. Not given: 1/1000 acre."),
    ] = None,
    json: JsonOption = False,
) -> None:
    """Plants per acre from stand counts, and how many more counts it takes.

    A length without a unit is in inches. The range is 80 % of what the counts allow; more counts
    bring the mean within 5 % at 95 %.

    \b
    Examples:
      springwalk stand --row-width 30in --counts 29,31,28,33,30
      springwalk stand --row-width 30in --counts 29,31,28,33,30 --length 17ft5in --json
      springwalk stand --row-width 0.75m --counts 81,77 --length 13.333m
    """
    from springwalk.jobs.stand_count import plants_of, row_m, stand_count

    result = stand_count(
        row_width_m=row_m(row_width, name="row-width"),
        counts=plants_of(counts),
        length_m=None if length is None else row_m(length, name="length"),
    )
    if json:
        say_json(result)
    else:
        say("\n".join(_stand_words(result)))


def _stand_words(result: dict[str, Any]) -> list[str]:
    from springwalk.jobs.results import Range
    from springwalk.show import numbers as n

    low, high = result["interval_80"]
    acre = n.estimate(Range(low=low, mid=result["plants_per_acre"], high=high), "plants per acre", decimals=0)
    more = result["more_counts_for_5_percent"]
    said = f"{n.count(more, 'more count')} for a mean within 5 %" if more else "enough counts for a mean within 5 %"
    return [str(acre), str(n.number(result["plants_per_ha"], "plants per ha", decimals=0)), said]


def add_to(app: typer.Typer) -> None:
    """Add this file's command to the program."""
    app.command("stand")(stand)
