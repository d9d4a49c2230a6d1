"""The numbers of counting and searching, from tables/data/stopping.csv, as the engine takes them."""

from __future__ import annotations

from dataclasses import dataclass

from springwalk.engine.stopping_counts import CountParams
from springwalk.jobs.params_belief import belief_params
from springwalk.tables import number


@dataclass(frozen=True)
class StopParams:
    """Counting and searching for one person: minutes of a stop and of a batch of the search, and its plants."""

    count: CountParams
    minutes_per_stop: float
    minutes_per_search: float
    plants_per_search: float
    most_searches: int
    stops_later: int


def count_params() -> CountParams:
    """How counts come about; spread, patches and background are those of belief."""
    belief = belief_params()
    return CountParams(
        places=int(_value("places_per_stop")),
        most_stops=int(_value("most_stops")),
        most_cut=int(_value("most_cut")),
        larva_cv2=belief.cut_spread,
        patch_shape=belief.patch_shape,
        background=belief.background,
    )


def stop_params() -> StopParams:
    """Everything of the table of stopping."""
    return StopParams(
        count=count_params(),
        minutes_per_stop=_value("minutes_per_stop"),
        minutes_per_search=_value("minutes_per_search"),
        plants_per_search=_value("plants_per_search"),
        most_searches=int(_value("most_searches")),
        stops_later=int(_value("stops_later")),
    )


def _value(name: str) -> float:
    return number("stopping", name).value
