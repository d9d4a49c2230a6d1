"""Commands on heat alone, no store needed: heat, heat-sum, wilt-index."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from springwalk.cli.talk import JsonOption, day, say, say_json, tell
from springwalk.errors import BadValue

_UNITS_HELP = "Unit of every temperature here and of the answer: F or C. A suffix on a number (4.4C) goes before it."

UnitOption = Annotated[str, typer.Option("--unit", metavar="F|C", help=_UNITS_HELP)]
MethodOption = Annotated[
    str | None,
    typer.Option("--method", metavar="NAME", help="A named way: average, 86/50, clipped-mean, sine, triangle."),
]
ShapeOption = Annotated[
    str | None, typer.Option("--shape", metavar="NAME", help="Course of the day: sine (default) or triangle.")
]
CutoffOption = Annotated[
    str | None,
    typer.Option("--cutoff", metavar="NAME", help="none, horizontal (default), intermediate or vertical."),
]
LowerOption = Annotated[
    str | None, typer.Option("--lower", metavar="T", help="Lower threshold. Not given: 50 °F or 10 °C.")
]
UpperOption = Annotated[
    str | None, typer.Option("--upper", metavar="T", help="Upper threshold. Not given: 86 °F or 30 °C.")
]
DoubleOption = Annotated[
    bool, typer.Option("--double", help="Count the two halves of the day apart, the second with the next minimum.")
]


def heat(
    minimum: Annotated[str, typer.Option("--min", metavar="T", help="The day's minimum.")],
    maximum: Annotated[str, typer.Option("--max", metavar="T", help="The day's maximum.")],
    next_min: Annotated[
        str | None, typer.Option("--next-min", metavar="T", help="The next morning's minimum, for --double.")
    ] = None,
    lower: LowerOption = None,
    upper: UpperOption = None,
    unit: UnitOption = "F",
    method: MethodOption = None,
    shape: ShapeOption = None,
    cutoff: CutoffOption = None,
    double: DoubleOption = False,
    json: JsonOption = False,
) -> None:
    """Degree-days of one day from its extremes.

    \b
    Examples:
      springwalk heat --min 40 --max 60
      springwalk heat --min 8 --max 24 --unit C --method 86/50 --json
      springwalk heat --min 40 --max 60 --next-min 50 --double --shape triangle
    """
    from springwalk.jobs.heat import heat_of_day

    result = heat_of_day(
        minimum=_degrees("min", minimum, unit),
        maximum=_degrees("max", maximum, unit),
        next_minimum=None if next_min is None else _degrees("next_min", next_min, unit),
        lower=None if lower is None else _degrees("lower", lower, unit),
        upper=None if upper is None else _degrees("upper", upper, unit),
        unit=unit,
        method=method,
        shape=shape,
        cutoff=cutoff,
        double=double,
    )
    if json:
        say_json(result)
    else:
        say(_heat_words(result, decimals=2))


def heat_sum(
    weather: Annotated[
        Path, typer.Option("--weather", metavar="FILE", readable=False, help="Daily extremes of one station as CSV.")
    ],
    start: Annotated[str, typer.Option("--from", metavar="DATE", help="First day counted.")],
    end: Annotated[str, typer.Option("--to", metavar="DATE", help="Last day counted.")],
    lower: LowerOption = None,
    upper: UpperOption = None,
    unit: UnitOption = "F",
    method: MethodOption = None,
    shape: ShapeOption = None,
    cutoff: CutoffOption = None,
    double: DoubleOption = False,
    fill: Annotated[
        bool, typer.Option("--fill", help="Fill gaps of up to 3 days on a straight line between their neighbours.")
    ] = False,
    swap: Annotated[
        bool, typer.Option("--swap", help="Swap the extremes of days whose minimum is above the maximum.")
    ] = False,
    as_is: Annotated[bool, typer.Option("--as-is", help="Take suspected values as they are.")] = False,
    json: JsonOption = False,
) -> None:
    """Degree-days over a span of days, from a file.

    Both days are counted. The file's temperatures are in --unit. Days the file lacks are
    left out and counted as missing.

    \b
    Examples:
      springwalk heat-sum --weather lincoln.csv --from 2016-04-20 --to 2016-06-10 --method 86/50
      springwalk heat-sum --weather station.csv --unit C --from 2016-04-10 --to 2016-05-17 --fill --json
    """
    from springwalk.jobs.heat import heat_sum as job

    first, last = day(start, name="from"), day(end, name="to")
    assert first is not None
    assert last is not None
    result = job(
        weather,
        unit=unit,
        start=first,
        end=last,
        method=method,
        shape=shape,
        cutoff=cutoff,
        lower=None if lower is None else _degrees("lower", lower, unit),
        upper=None if upper is None else _degrees("upper", upper, unit),
        double=double,
        fill=fill,
        swap=swap,
        as_is=as_is,
    )
    for fault in result["faults"]:
        tell(fault)
    if json:
        say_json(result)
        return
    from springwalk.show import numbers as n

    missing, filled = (n.number(result[name], "", decimals=0) for name in ("missing", "filled"))
    say(_heat_words(result, decimals=1))
    say(f"{n.count(result['days'], 'day', words=False)} counted, {missing} missing, {filled} filled")


def wilt_index(
    mean_dec: Annotated[str, typer.Option("--mean-dec", metavar="T", help="Mean of December, like 28F or -2.2C.")],
    mean_jan: Annotated[str, typer.Option("--mean-jan", metavar="T", help="Mean of January.")],
    mean_feb: Annotated[str, typer.Option("--mean-feb", metavar="T", help="Mean of February.")],
    json: JsonOption = False,
) -> None:
    """Winter index for the corn flea beetle.

    It tells of Stewart's wilt too: the sum of three monthly means in °F, classed by the
    breaks 90, 95 and 100. A number without a unit is in °F.

    \b
    Example:
      springwalk wilt-index --mean-dec 28F --mean-jan 30F --mean-feb 33F
    """
    from springwalk.jobs.heat import wilt_index as job
    from springwalk.units import quantity

    result = job(
        mean_dec_c=quantity(mean_dec, "temperature_c", name="mean_dec"),
        mean_jan_c=quantity(mean_jan, "temperature_c", name="mean_jan"),
        mean_feb_c=quantity(mean_feb, "temperature_c", name="mean_feb"),
    )
    if json:
        say_json(result)
    else:
        from springwalk.show import numbers as n

        say(f"{n.number(result['sum_f'], '°F', decimals=1)}   {result['class']}   ({result['source']})")


def _heat_words(result: dict[str, Any], *, decimals: int) -> str:
    """The heat with its unit and the way it was counted."""
    from springwalk.show import numbers as n

    return f"{n.number(result['degree_days'], result['unit'], decimals=decimals)}   ({result['method']})"


def _degrees(name: str, text: str, unit: str) -> float:
    """Read a temperature in ``unit``; a unit written after the number goes before it."""
    from springwalk.units import c_to_f, quantity

    if unit not in ("F", "C", "tenths C"):
        raise BadValue("unit", unit, "not a unit of temperature", "use F or C")
    try:
        return float(text)
    except ValueError:
        value_c = quantity(text, "temperature_c", name=name)
    return float(c_to_f(value_c)) if unit == "F" else value_c


def add_to(app: typer.Typer) -> None:
    """Add this file's commands to the program."""
    app.command("heat")(heat)
    app.command("heat-sum")(heat_sum)
    app.command("wilt-index")(wilt_index)
