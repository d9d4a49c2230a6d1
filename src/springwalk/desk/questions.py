"""What the desk asks: callables, so that pages know nothing of stores."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from springwalk.jobs.advised import FieldAdvice, MorningAdvice
from springwalk.jobs.changed import Changed
from springwalk.jobs.day_said import Day
from springwalk.jobs.recommended import Recommendations
from springwalk.jobs.replant_field import Asked
from springwalk.jobs.replant_ground import ReplantGround
from springwalk.jobs.replant_policy import Policy
from springwalk.jobs.replant_said import ReplantSaid
from springwalk.jobs.results import FieldPage, Sheet
from springwalk.jobs.stop_told import FieldStops


@dataclass(frozen=True)
class TeamTyped:
    """Who walks, as typed into the form of the day: all text, blank = the season's."""

    people: str = ""
    hours: str = ""
    leave: str = ""
    start: str = ""


def no_chains() -> Recommendations:
    """No recommendation, where nobody keeps any."""
    return Recommendations(season="", today=None, chains=())


@dataclass(frozen=True)
class ReplantQuestions:
    """``ground(field)`` is what the form offers, ``answer(field, asked, policy)`` whether to replant."""

    ground: Callable[[str], ReplantGround]
    answer: Callable[[str, Asked, Policy | None], ReplantSaid]


@dataclass(frozen=True)
class Questions:
    """``sheet()`` gives today's sheet; ``field(id)`` gives one field's page or raises NotFound.

    ``day(team)`` plans the day for a team as typed; ``advice()`` is what to do in every field walked lately,
    ``riding(id, days)`` the same for one over which a pass goes anyway in so many days; ``changed(id)`` what its newest
    walk changed, ``stops(id)`` its stop tables, ``replant`` whether to replant it; ``chains()`` every recommendation
    with its chain.
    """

    sheet: Callable[[], Sheet]
    field: Callable[[str], FieldPage]
    day: Callable[[TeamTyped], Day] | None = None
    advice: Callable[[], MorningAdvice] | None = None
    riding: Callable[[str, int], FieldAdvice | None] | None = None
    changed: Callable[[str], Changed | None] | None = None
    stops: Callable[[str], FieldStops] | None = None
    replant: ReplantQuestions | None = None
    chains: Callable[[], Recommendations] = no_chains
