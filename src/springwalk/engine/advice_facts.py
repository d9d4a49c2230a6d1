"""What advice needs to know of a field, and the numbers it is made with."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from springwalk.engine.belief_seen import BeliefParams, WalkSeen
from springwalk.engine.cutting import CuttingParams
from springwalk.engine.losses import Plants, YieldParams
from springwalk.engine.state_rule import Counted

Array = NDArray[np.float64]


@dataclass(frozen=True)
class FoundParams:
    """Larvae found: the largest that count as treatable, the yardstick of a search, and how far is too far for a date.

    ``spans_ddc`` heat spent in instars 4, 5, 6; ``feeding_days`` days left to feed for instars 1–3, 4, 5, 6 at their
    start; ``collar_ddc`` heat per leaf collar.
    """

    treatable_to_mm: float
    treatable_to_instar: float
    signal_per_100: float
    weak_search: float
    not_this_flight: float
    spans_ddc: tuple[float, float, float]
    feeding_days: tuple[float, float, float, float]
    collar_ddc: float


@dataclass(frozen=True)
class AdviceParams:
    """Numbers of tables/data/advice.csv. ``kill_by_stage`` and ``left_by_stage`` (6,) go with larvae.STAGES."""

    yields: YieldParams
    found: FoundParams
    cutting: CuttingParams
    belief: BeliefParams
    kill_by_stage: tuple[float, ...]
    left_by_stage: tuple[float, ...]
    collars_seen_sd: float
    collars_unseen_sd: float
    look_plants: int
    look_stops: int
    search_plants: int
    recount_days: int


@dataclass(frozen=True)
class Money:
    """Money per hectare: the whole crop, an own pass with its product, the product alone, and one more visit."""

    value: float
    own_pass: float
    product: float = 0.0
    visit: float = 0.0


@dataclass(frozen=True)
class FieldFacts:
    """What is known of a planting or zone today.

    ``search`` the last search for larvae that still tells (None = nobody searched); ``counted`` what the stops say, for
    the state's rule. ``spray_in_days`` when an own pass could go (0 = tonight), ``pass_in_days`` when a pass goes
    anyway (None = none), ``look_in_days`` when one could come back. ``fresh_cuts`` False = the last look found no
    plant cut lately and nothing new on marked rows. ``kill`` given by hand replaces the table. ``other_origin`` is the
    chance that larvae found are not of this flight.
    """

    money: Money
    plants: Plants
    counted: Counted
    search: WalkSeen | None = None
    spray_in_days: tuple[int, ...] = (0,)
    pass_in_days: int | None = None
    look_in_days: tuple[int, ...] = (3, 7)
    fresh_cuts: bool = True
    kill: float | None = None
    state: str = ""
    other_origin: float = 0.0
