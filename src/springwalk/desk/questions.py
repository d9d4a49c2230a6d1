"""What the desk asks: callables, so that pages know nothing of stores."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from springwalk.jobs.recommended import Recommendations
from springwalk.jobs.results import FieldPage, Sheet


def no_chains() -> Recommendations:
    """No recommendation, where nobody keeps any."""
    return Recommendations(season="", today=None, chains=())


@dataclass(frozen=True)
class Questions:
    """``sheet()`` gives today's sheet; ``field(id)`` gives one field's page or raises NotFound; ``chains()`` gives
    every recommendation with its chain.
    """

    sheet: Callable[[], Sheet]
    field: Callable[[str], FieldPage]
    chains: Callable[[], Recommendations] = no_chains
