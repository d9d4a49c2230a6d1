"""Stop lines of a sequential count, with the odds they really have: a question that needs no store."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any

from springwalk.engine.sequential import (
    cluster_counts,
    cluster_increments,
    exact_odds,
    first_stop,
    plants,
    stop_odds,
)
from springwalk.engine.wald import Odds, binomial_lines, log_bounds, wald_odds
from springwalk.errors import BadValue

MOST_PLANTS = 10_000
"""No field is counted beyond this; a longer test is a slip or asks for too fine a difference."""
MOST_AT_A_STOP = 500
MOST_AT_LEAST = 2_000
_TIDY = 9  # decimals kept
_TIE = 1e-9


def stop_lines(
    *,
    p0: float,
    p1: float,
    alpha: float,
    beta: float,
    n_min: int = 1,
    n_max: int | None = None,
    plants_per_stop: int | None = None,
    rho: float | None = None,
) -> dict[str, Any]:
    """Wald's lines between two shares of damaged plants, and the exact odds of counting by them.

    Answers ``slope``, ``lower_intercept``, ``upper_intercept`` (damaged plants), ``first_stop_n`` (the first number of
    plants at which none damaged is enough), ``asn`` (mean plants looked at) and ``oc`` (chance of ending below), each
    at ``p0``, ``slope`` and ``p1``: all for independent plants judged one by one. At ``n_max`` plants the side of the
    slope decides. With ``plants_per_stop`` and ``rho`` also ``increments``, what a stop with 0, 1, … damaged adds to
    the log-likelihood ratio, and ``by_stop``, the same test by whole stops: its two bounds, first stop, and odds with
    ``asn_stops`` in stops. Raises BadValue. Source: engine.wald, engine.sequential.
    """
    lines = binomial_lines(p0, p1, alpha=alpha, beta=beta)
    _numbers_of_plants(n_min, n_max)
    _worth_counting(p0, p1, alpha, beta, n_max, plants_for_one=1.0)
    shares = {"p0": p0, "slope": lines.slope, "p1": p1}
    result = {
        "slope": round(lines.slope, _TIDY),
        "lower_intercept": round(lines.lower, _TIDY),
        "upper_intercept": round(lines.upper, _TIDY),
        "first_stop_n": first_stop(lines, n_min=n_min, n_max=n_max),
        **_at(shares, lambda p: exact_odds(lines, plants(p), n_min=n_min, n_max=n_max), "asn"),
        "n_min": n_min,
        "n_max": n_max,
    }
    if plants_per_stop is None and rho is None:
        return result
    if plants_per_stop is None or rho is None:
        name, option = ("rho", "--rho") if rho is None else ("plants_per_stop", "--plants-per-stop")
        raise BadValue(name, "(not given)", "plants per stop and rho go together", f"give {option} too")
    increments = cluster_increments(p0, p1, plants_per_stop=_at_a_stop(plants_per_stop, n_max), rho=rho)
    _worth_counting(p0, p1, alpha, beta, n_max, plants_for_one=1.0 + (plants_per_stop - 1) * rho)
    low, high = log_bounds(alpha, beta)
    least, most = math.ceil(n_min / plants_per_stop), None if n_max is None else n_max // plants_per_stop
    if most is not None and most < least:
        rule = f"holds {most} stops of {plants_per_stop}, n_min = {n_min} needs {least}"
        raise BadValue("n_max", n_max, rule, "allow at least as many stops as must be seen", unit="plants")

    def odds(p: float) -> Odds:
        chances = cluster_counts(p, plants_per_stop=plants_per_stop, rho=rho)
        return stop_odds(increments, chances, alpha=alpha, beta=beta, n_min=least, n_max=most)

    first = max(least, math.ceil(low / float(increments[0]) - _TIE))
    return result | {
        "increments": [round(float(value), _TIDY) for value in increments],
        "by_stop": {
            "plants_per_stop": plants_per_stop,
            "rho": rho,
            "lower_bound": round(low, _TIDY),
            "upper_bound": round(high, _TIDY),
            "first_stop": first if most is None else min(first, most),
            **_at(shares, odds, "asn_stops"),
            "stops_min": least,
            "stops_max": most,
        },
    }


def _at(shares: Mapping[str, float], odds: Callable[[float], Odds], length: str) -> dict[str, dict[str, float]]:
    """Mean length and chance of ending below at each of the named true shares."""
    found = {name: odds(share) for name, share in shares.items()}
    return {
        length: {name: round(one.mean_units, _TIDY) for name, one in found.items()},
        "oc": {name: round(one.below, _TIDY) for name, one in found.items()},
    }


def _numbers_of_plants(n_min: int, n_max: int | None) -> None:
    for name, value, most in (("n_min", n_min, MOST_AT_LEAST), ("n_max", n_max, MOST_PLANTS)):
        if value is not None and not 1 <= value <= most:
            rule = f"outside 1 … {most:,}"
            raise BadValue(name, value, rule, "give the plants one would look at in a field", unit="plants")


def _at_a_stop(plants_per_stop: int, n_max: int | None) -> int:
    if not 1 <= plants_per_stop <= MOST_AT_A_STOP:
        rule = f"outside 1 … {MOST_AT_A_STOP}"
        raise BadValue("plants_per_stop", plants_per_stop, rule, "give the plants looked at in one stop", unit="plants")
    if n_max is not None and n_max < plants_per_stop:
        rule = f"less than one stop of {plants_per_stop}"
        raise BadValue("n_max", n_max, rule, "allow at least one whole stop", unit="plants")
    return plants_per_stop


def _worth_counting(
    p0: float, p1: float, alpha: float, beta: float, n_max: int | None, *, plants_for_one: float
) -> None:
    """Refuse a test without an end that would take more plants than anyone counts; Wald's length is near enough."""
    lines = binomial_lines(p0, p1, alpha=alpha, beta=beta)
    usual = wald_odds(p0, p1, alpha=alpha, beta=beta, true_p=lines.slope).mean_units * plants_for_one
    if n_max is None and not usual <= MOST_PLANTS / 2:
        rule = f"with p0 = {p0:g} some {float(f'{usual:.2g}'):,.0f} plants would be needed"
        raise BadValue("p1", f"{p1:g}", rule, "set them further apart, allow more error, or set --n-max")
