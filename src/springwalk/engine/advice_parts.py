"""Advice for a field of several parts: each part for itself, the field as their area-weighted mean."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from springwalk.engine.advice import Advice
from springwalk.errors import BadValue


@dataclass(frozen=True)
class Part:
    """A part of a field: its name, area (ha), per cent of plants seen cut there, and its own advice."""

    name: str
    area_ha: float
    percent_cut: float
    advice: Advice


@dataclass(frozen=True)
class PartsAdvice:
    """A field of parts. Money is for the whole field, not per ha.

    ``treat`` names the parts to treat; ``whole`` = all of them, ``part`` = some, ``none``. ``left``, ``all_treated``
    and ``as_advised`` are the expected losses of leaving all, of treating all once, and of the advice.
    """

    parts: tuple[Part, ...]
    percent_cut: float
    what: Literal["none", "part", "whole"]
    treat: tuple[str, ...]
    left: float
    all_treated: float
    as_advised: float


def advise_parts(parts: Sequence[Part], *, trip_money: float = 0.0) -> PartsAdvice:
    """Put the parts' advice together; ``trip_money`` is paid once if anything is sprayed by an own pass.

    Where the parts that ask for a treatment don't save the trip, nothing is treated. Raises BadValue for no part or an
    area that is not above 0.
    """
    if not parts:
        raise BadValue("parts", "none", "a field needs at least one part", "give the whole field as one part")
    for part in parts:
        if not part.area_ha > 0.0:
            raise BadValue("area_ha", f"{part.area_ha:g}", "must be above 0", "give the area of the part", unit="ha")
    area = sum(part.area_ha for part in parts)
    asked = [part for part in parts if part.advice.treats]
    own = [part for part in asked if part.advice.verdict == "spray"]
    saved = sum(part.area_ha * (_leave(part) - _best(part)) for part in own)
    if own and saved <= trip_money:
        asked = [part for part in asked if part.advice.verdict != "spray"]
        own = []
    treated = {id(part) for part in asked}
    trip = trip_money if own else 0.0
    return PartsAdvice(
        parts=tuple(parts),
        percent_cut=sum(part.area_ha * part.percent_cut for part in parts) / area,
        what="none" if not asked else ("whole" if len(asked) == len(parts) else "part"),
        treat=tuple(part.name for part in asked),
        left=sum(part.area_ha * _leave(part) for part in parts),
        all_treated=sum(part.area_ha * _treating(part) for part in parts) + trip_money,
        as_advised=sum(part.area_ha * (_best(part) if id(part) in treated else _untreated(part)) for part in parts)
        + trip,
    )


def _leave(part: Part) -> float:
    return part.advice.lost_if_left


def _treating(part: Part) -> float:
    return min(option.expected for option in part.advice.options if option.kind in ("spray", "ride along"))


def _best(part: Part) -> float:
    return part.advice.options[0].expected


def _untreated(part: Part) -> float:
    return min(option.expected for option in part.advice.options if option.kind in ("leave", "come back"))
