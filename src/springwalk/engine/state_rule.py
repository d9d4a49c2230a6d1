"""A state's published rule beside our own advice: per cent of plants hurt, with bounds of stage, size and larvae.

Such a rule speaks of what was cut when the field was walked; what a treatment saves is what is still to be cut.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from springwalk.errors import BadValue

Says = Literal["treat", "judge", "wait", "silent"]
_ORDER: tuple[Says, ...] = ("silent", "wait", "judge", "treat")
_SLACK = 1e-9
"""5 of 250 plants is 2 %, whatever the last bit of the division says."""


@dataclass(frozen=True)
class StateRule:
    """One row of tables/data/state_rules.csv.

    ``signs`` are added up (cut, wilted, leaf_fed; none: the rule is about larvae alone). From ``percent_high`` on it
    says treat, from ``percent_low`` on it leaves the choice to judgement; with no high figure the low one is the
    threshold. ``larva_mm`` (from, to) and ``collars`` (from, below) bound where it holds; None = no bound.
    """

    key: str
    state: str
    signs: tuple[str, ...]
    percent_low: float | None
    percent_high: float | None
    larva_mm: tuple[float | None, float | None]
    collars: tuple[float | None, float | None]
    larvae_per_100: float | None
    live_larvae: bool
    height: str


@dataclass(frozen=True)
class Counted:
    """What was counted, in per cent of plant places; None = nobody looked or told.

    ``below`` and ``above`` part the cut plants by height. ``larva_mm`` is the mean length of the larvae found,
    ``larvae_per_100`` how many were found per 100 plants searched.
    """

    cut: float
    wilted: float = 0.0
    leaf_fed: float = 0.0
    below: float | None = None
    above: float | None = None
    live_larvae: bool = False
    larvae_per_100: float | None = None
    larva_mm: float | None = None
    collars: float | None = None


@dataclass(frozen=True)
class RuleSays:
    """What one rule says of a field, the per cent it looked at, and codes of why.

    Codes: ``over``, ``between``, ``under``, ``no live larvae``, ``too few larvae``, ``larva too large``,
    ``larva too small``, ``stage outside``, ``size not known``, ``stage not known``, ``height not known``.
    """

    key: str
    state: str
    says: Says
    percent: float
    why: tuple[str, ...]


def state_says(rules: Sequence[StateRule], state: str, seen: Counted) -> tuple[RuleSays, ...]:
    """What each rule of a state says, the one that decides first; raises BadValue for a state without one.

    A state treats where any of its rules does: the rows are alternatives.
    """
    mine = [rule for rule in rules if rule.state == state]
    if not mine:
        known = ", ".join(sorted({rule.state for rule in rules}))
        raise BadValue("state", state, "no published rule is known", f"use one of {known}")
    said = [judge(rule, seen) for rule in mine]
    return tuple(sorted(said, key=lambda one: -_ORDER.index(one.says)))


def judge(rule: StateRule, seen: Counted) -> RuleSays:
    """What one rule says: its bounds first, then the per cent, then what it asks of live larvae.

    Where a bound can't be checked because nobody told the size, stage or height, treat becomes judge.
    """
    percent, told = _percent(rule, seen)
    outside, unknown = _bounds(rule, seen)
    if outside:
        return RuleSays(rule.key, rule.state, "silent", percent, tuple(outside))
    says, why = _by_percent(rule, percent)
    lacking = _larvae(rule, seen)
    if says != "wait" and lacking:
        return RuleSays(rule.key, rule.state, "wait", percent, (why, lacking))
    unknown += [] if told else ["height not known"]
    if unknown and says == "treat":
        says = "judge"
    return RuleSays(rule.key, rule.state, says, percent, (why, *unknown))


def _percent(rule: StateRule, seen: Counted) -> tuple[float, bool]:
    part = {"below": seen.below, "above": seen.above, "": seen.cut}[rule.height]
    cut = seen.cut if part is None else part
    by_sign = {"cut": cut, "wilted": seen.wilted, "leaf_fed": seen.leaf_fed}
    return min(100.0, sum(by_sign[sign] for sign in rule.signs)), part is not None


def _bounds(rule: StateRule, seen: Counted) -> tuple[list[str], list[str]]:
    outside, unknown = [], []
    low, high = rule.collars
    if low is not None or high is not None:
        if seen.collars is None:
            unknown.append("stage not known")
        elif not (low or 0.0) <= seen.collars < (high if high is not None else float("inf")):
            outside.append("stage outside")
    least, most = rule.larva_mm
    if least is not None or most is not None:
        if seen.larva_mm is None:
            unknown.append("size not known")
        elif most is not None and seen.larva_mm > most + _SLACK:
            outside.append("larva too large")
        elif least is not None and seen.larva_mm <= least + _SLACK:
            outside.append("larva too small")
    return outside, unknown


def _by_percent(rule: StateRule, percent: float) -> tuple[Says, str]:
    if rule.percent_low is None:
        return "treat", "over"
    if percent >= (rule.percent_low if rule.percent_high is None else rule.percent_high) - _SLACK:
        return "treat", "over"
    return ("judge", "between") if percent >= rule.percent_low - _SLACK else ("wait", "under")


def _larvae(rule: StateRule, seen: Counted) -> str:
    if rule.live_larvae and not seen.live_larvae:
        return "no live larvae"
    if rule.larvae_per_100 is not None and (seen.larvae_per_100 or 0.0) < rule.larvae_per_100 - _SLACK:
        return "too few larvae"
    return ""
