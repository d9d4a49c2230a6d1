"""What a question for a stop table answers with: per field and part, for every count that can come up."""

from __future__ import annotations

from datetime import date
from typing import Literal

from springwalk.jobs.results import Result

Answer = Literal["count on", "leave", "search and treat", "come back", "treat"]
"""``treat`` stands only for what is best without a count, where live larvae were found already."""


class StopSaid(Result):
    """After so many stops with so many cut places in so many of the stops: count on, or stop with an answer.

    ``cut`` is that many or more where it is the ``most_cut`` of its part. ``chance`` (0–1) that so many stops show just
    this, as believed before the first. ``on`` the day to come back.
    """

    stops: int
    cut: int
    stops_with: int
    chance: float
    answer: Answer
    on: date | None


class PartStops(Result):
    """The stop table of one planting × zone. Money is that of the whole part; ``fresh_only``: old cuts don't count.

    ``larvae_found``: live larvae worth treating were found in the last days, and the advice rests on them. ``worth`` is
    what counting today is worth, its stops paid at ``stop_cost`` and the way there not; ``search_odds``
    the chance that it ends with a search; ``without`` what is best, and ``lost_without`` what is expected to be lost,
    if nobody counts today.
    """

    planting: str | None
    zone: str | None
    area_ha: float
    fresh_only: bool
    places_per_stop: int
    most_cut: int
    stop_cost: float
    larvae_found: bool
    worth: float
    stops_expected: float
    search_odds: float
    without: Answer
    without_on: date | None
    lost_without: float
    table: tuple[StopSaid, ...]


class FieldStops(Result):
    """Stop tables of a field's parts; parts treated with an insecticide have none."""

    field: str
    name: str
    today: date
    parts: tuple[PartStops, ...]
