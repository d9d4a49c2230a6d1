"""How sure a count of damaged plants is: a question that needs no store."""

from __future__ import annotations

from springwalk.engine.sampling import exact_interval, jeffreys, wilson

_TIDY = 9  # decimals kept
_WAYS = {"wilson": wilson, "exact": exact_interval, "jeffreys": jeffreys}


def interval(*, x: int, n: int, level: float = 0.95) -> dict[str, list[float]]:
    """Three intervals for the share of plants behind x damaged of n: ``wilson``, ``exact`` and ``jeffreys``.

    Each is [low, high] at ``level``. Plants are taken as independent and n as fixed beforehand. Raises BadValue.
    Source: engine.sampling.
    """
    return {name: [round(end, _TIDY) for end in way(x, n, level=level)] for name, way in _WAYS.items()}
