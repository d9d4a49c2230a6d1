"""Commands on counting plants alone, no store needed: stop-lines, interval, injury-level."""

from __future__ import annotations

from typing import Annotated, Any

import typer

from springwalk.cli.talk import JsonOption, say, say_json


def stop_lines(
    p0: Annotated[float, typer.Option("--p0", metavar="SHARE", help="Share of plants cut that needs nothing.")],
    p1: Annotated[float, typer.Option("--p1", metavar="SHARE", help="Share of plants cut that needs something.")],
    alpha: Annotated[
        float, typer.Option("--alpha", metavar="CHANCE", help="Chance allowed of ending above at p0.")
    ] = 0.1,
    beta: Annotated[
        float, typer.Option("--beta", metavar="CHANCE", help="Chance allowed of ending below at p1.")
    ] = 0.1,
    n_min: Annotated[int, typer.Option("--n-min", metavar="PLANTS", help="Look at this many at least.")] = 1,
    n_max: Annotated[
        int | None, typer.Option("--n-max", metavar="PLANTS", help="Look at this many at most; the slope then decides.")
    ] = None,
    plants_per_stop: Annotated[
        int | None,
        typer.Option("--plants-per-stop", metavar="PLANTS", help="Count by stops of this many; needs --rho."),
    ] = None,
    rho: Annotated[
        float | None,
        typer.Option("--rho", metavar="RHO", help="How alike plants of a stop are: 0 not at all, below 1."),
    ] = None,
    json: JsonOption = False,
) -> None:
    """When to stop counting plants, and how often that is right.

    Below or on the lower line the share is taken as p0 or less, on or above the upper line as p1 or more. Mean
    plants and odds are exact for these lines, with the least and most number counted in.

    \b
    Examples:
      springwalk stop-lines --p0 0.02 --p1 0.05
      springwalk stop-lines --p0 0.02 --p1 0.05 --n-min 100 --n-max 250 --json
      springwalk stop-lines --p0 0.02 --p1 0.05 --plants-per-stop 20 --rho 0.05
    """
    from springwalk.jobs.stop_lines import stop_lines as job

    result = job(
        p0=p0, p1=p1, alpha=alpha, beta=beta, n_min=n_min, n_max=n_max, plants_per_stop=plants_per_stop, rho=rho
    )
    if json:
        say_json(result)
        return
    for line in _stop_words(result, {"p0": p0, "slope": result["slope"], "p1": p1}):
        say(line)


def interval(
    x: Annotated[int, typer.Option("--x", metavar="PLANTS", help="Plants found damaged.")],
    n: Annotated[int, typer.Option("--n", metavar="PLANTS", help="Plants looked at.")],
    level: Annotated[float, typer.Option("--level", metavar="SHARE", help="How sure the interval is to be.")] = 0.95,
    json: JsonOption = False,
) -> None:
    """Range of the true share behind x damaged plants of n.

    Plants are taken as independent and n as fixed beforehand: where damage comes in patches, or counting
    ended by a rule, the true range is wider.

    \b
    Examples:
      springwalk interval --x 3 --n 100
      springwalk interval --x 5 --n 250 --level 0.9 --json
    """
    from springwalk.jobs.interval import interval as job

    result = job(x=x, n=n, level=level)
    if json:
        say_json(result)
        return
    from springwalk.show import numbers as s

    names = {"wilson": "Wilson", "exact": "exact (Clopper–Pearson)", "jeffreys": "Jeffreys"}
    say(f"{_number(100 * x / n, 1)} % of {s.count(n, 'plant', words=False)}; {_percent(level)} intervals")
    for name, (low, high) in result.items():
        say(f"{_number(100 * low, 2)} to {_number(100 * high, 2)} %   {names[name]}")


def injury_level(
    cost: Annotated[float, typer.Option("--cost", metavar="MONEY", help="Cost of the treatment per acre.")],
    crop_yield: Annotated[float, typer.Option("--yield", metavar="BUSHELS", help="Yield per acre without the pest.")],
    price: Annotated[float, typer.Option("--price", metavar="MONEY", help="Price per bushel.")],
    loss_per_pest: Annotated[
        float, typer.Option("--loss-per-pest", metavar="SHARE", help="Share of yield lost per pest on a plant.")
    ],
    control: Annotated[float, typer.Option("--control", metavar="SHARE", help="Share of the loss that is prevented.")],
    pests_per_plant: Annotated[
        float | None,
        typer.Option(
            "--pests-per-plant", metavar="N", help="Work the sheet for this many. Not given: 0.6, as published."
        ),
    ] = None,
    json: JsonOption = False,
) -> None:
    """Pests per plant at which a treatment pays for itself.

    Once exact, and once as a paper worksheet rounds it. Any area and any unit of yield will do, as long as cost,
    yield and price use the same. The loss is taken as straight in the number of pests.

    \b
    Example:
      springwalk injury-level --cost 15 --yield 135 --price 3 --loss-per-pest 0.059 --control 0.72
    """
    from springwalk.jobs.injury_level import SHEET_PESTS_PER_PLANT, injury_level as job

    result = job(
        cost=cost,
        crop_yield=crop_yield,
        price=price,
        loss_per_pest=loss_per_pest,
        control=control,
        pests_per_plant=SHEET_PESTS_PER_PLANT if pests_per_plant is None else pests_per_plant,
    )
    if json:
        say_json(result)
    else:
        for line in _injury_words(result):
            say(line)


def _stop_words(result: dict[str, Any], shares: dict[str, float]) -> list[str]:
    """The lines, the first stop and the odds at three true shares; then the same by whole stops."""
    from springwalk.show import numbers as s

    slope, low, high = (_number(result[key], 4) for key in ("slope", "lower_intercept", "upper_intercept"))
    lines = [
        f"lower line: {low} + {slope} × plants",
        f"upper line: {high} + {slope} × plants",
        f"none damaged: stop at {s.count(result['first_stop_n'], 'plant', words=False)}",
    ]
    if result["n_max"] is not None:
        most = s.count(result["n_max"], "plant", words=False)
        lines.append(f"at {most} the side of {slope} × plants decides")
    lines += _odds_words(result["asn"], result["oc"], shares, "plants")
    if "by_stop" not in result:
        return lines
    by_stop = result["by_stop"]
    low, high = (_number(by_stop[key], 4) for key in ("lower_bound", "upper_bound"))
    at_stop = s.count(by_stop["plants_per_stop"], "plant", words=False)
    lines += ["", f"by stops of {at_stop}, rho {_number(by_stop['rho'], 3)}: add for each stop, by its damaged plants"]
    lines += [f"{_number(x, 0):>4}  {_number(value, 4)}" for x, value in enumerate(result["increments"])]
    lines.append(f"below at {low} or less, above at {high} or more")
    lines.append(f"none damaged: stop at {s.count(by_stop['first_stop'], 'stop', words=False)}")
    if by_stop["stops_max"] is not None:
        most = s.count(by_stop["stops_max"], "stop", words=False)
        lines.append(f"at {most} the sum decides: 0 or more is above")
    return lines + _odds_words(by_stop["asn_stops"], by_stop["oc"], shares, "stops")


def _odds_words(length: dict[str, float], below: dict[str, float], shares: dict[str, float], unit: str) -> list[str]:
    return [
        f"if {_number(100 * share, 2)} % are damaged: {_number(length[name], 1)} {unit} on average, "
        f"ends below {_number(100 * below[name], 1)} % of the time"
        for name, share in shares.items()
    ]


def _injury_words(result: dict[str, Any]) -> list[str]:
    """Both levels, and the sheet line by line."""
    steps = result["steps"]
    gain = steps["gain_money"]
    return [
        f"{_number(result['per_plant'], 3)} pests per plant pay for the treatment (exact)",
        f"{_number(result['worksheet'], 2)} by the worksheet, for {_number(steps['pests_per_plant'], 2)} per plant:",
        f"  share of yield lost {_number(steps['loss_share'], 3)}, that is {_number(steps['loss_yield'], 2)}",
        f"  worth {_number(steps['loss_money'], 2)}, of which {_number(steps['saved_money'], 2)} can be saved",
        f"  cost over what is saved {_number(steps['ratio'], 2)}; {'loss' if gain < 0 else 'gain'} "
        f"{_number(abs(gain), 2)}",
    ]


def _percent(level: float) -> str:
    """A level of sureness: ``95 %``, ``99.9 %``."""
    places = next(n for n in (0, 1, 2, 6) if n == 6 or abs(100 * level - round(100 * level, n)) < 1e-9)
    return f"{_number(100 * level, places)} %"


def _number(value: float, decimals: int) -> str:
    from springwalk.show import numbers as s

    return s.number(value, "", decimals=decimals)


def add_to(app: typer.Typer) -> None:
    """Add this file's commands to the program."""
    app.command("stop-lines")(stop_lines)
    app.command("interval")(interval)
    app.command("injury-level")(injury_level)
