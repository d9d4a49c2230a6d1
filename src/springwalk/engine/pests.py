"""Counts of stand pests against their published rules, how sure a count is, and where flies stand between peaks. Pure.

A rule is a row of ``tables/data/pest_rules.csv``. A verdict is one of:
``below`` (leave it), ``more`` (go on counting), ``act`` (at the threshold) and ``none`` (no rule can be used).
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from scipy.special import gammaincinv

from springwalk.engine.sampling import exact_interval
from springwalk.errors import BadValue

Verdict = Literal["below", "more", "act", "none"]
Kind = Literal["mean", "share", "both", "sequential", "none"]
RANK: dict[Verdict, int] = {"none": 0, "below": 1, "more": 2, "act": 3}
CURRENT = "current"


@dataclass(frozen=True)
class Count:
    """What was counted: units looked at, insects in them, units with any (or injured); None = not counted."""

    looked: int
    insects: int | None = None
    units_with: int | None = None
    units_with_two: int | None = None
    length_mm: float | None = None

    def __post_init__(self) -> None:
        """Refuse counts that can't be; raises BadValue."""
        if self.looked < 1:
            raise BadValue("looked", self.looked, "must be at least 1", "give how many units were looked at")
        if self.insects is not None and self.insects < 0:
            raise BadValue("insects", self.insects, "must not be below 0", "give how many were found, 0 for none")
        for name, told in (("units with", self.units_with), ("units with two", self.units_with_two)):
            if told is not None and not 0 <= told <= self.looked:
                raise BadValue(name, told, f"must lie within 0 and the {self.looked} looked at", "count again")


@dataclass(frozen=True)
class Rule:
    """One published rule; bounds are insects per ``of_units`` units and shares (0–1); None = no such bound.

    ``low`` is where counting goes on, ``high`` where to act; ``over`` means above them, not at them. Sizes in mm:
    up to ``small_mm`` a larva is treatable, above ``large_mm`` it is not, between them guidance disagrees.
    """

    key: str
    pest: str
    unit: str
    kind: Kind
    states: tuple[str, ...] = ()
    season: str = ""
    from_collars: int | None = None
    to_collars: int | None = None
    of_units: int = 1
    over: bool = False
    low: float | None = None
    high: float | None = None
    share_low: float | None = None
    share_high: float | None = None
    of_two: bool = False
    live: bool = False
    small_mm: float | None = None
    large_mm: float | None = None
    unseen: str = ""
    standing: str = CURRENT
    published: bool = True

    @property
    def usable(self) -> bool:
        """Whether a verdict may rest on it: published, still current, and with a bound."""
        return self.standing == CURRENT and self.published and self.kind != "none"

    @property
    def act_bound(self) -> float:
        """The bound that puts rules in order: insects per unit, else a share; infinite without one."""
        if self.high is not None:
            return self.high / self.of_units
        return self.share_high if self.share_high is not None else math.inf

    def fits(self, *, unit: str, season: str, collars: float | None) -> bool:
        """Whether it speaks of this unit, season (``fall``, ``spring``) and stage; a stage not told fits any."""
        if self.unit != unit or self.season not in ("", season):
            return False
        if collars is None:
            return True
        stage = math.floor(collars)
        low = -math.inf if self.from_collars is None else self.from_collars
        return low <= stage <= (math.inf if self.to_collars is None else self.to_collars)


@dataclass(frozen=True)
class Judged:
    """A verdict by one rule; ``because`` says what held it there.

    ``keep_counting``, ``count_insects``, ``count_units``, ``count_two``, ``find_live``, ``none_live``, ``measure``,
    ``size_unsure``, ``too_large``, ``unseen``; "" = the count alone.
    """

    verdict: Verdict
    rule: Rule | None = None
    because: str = ""


def judge(count: Count, rule: Rule) -> Judged:
    """The verdict of one rule on one count.

    Each bound the rule has must be reached; what it needs and was not counted makes ``more``. Where the bounds are
    reached, act only on live insects of treatable size. A rule that is not usable gives ``none``.
    """
    if not rule.usable:
        return Judged("none", rule)
    found = _bounds(count, rule)
    return _held_back(count, rule) if found.verdict == "act" else found


def judge_all(
    count: Count, rules: Iterable[Rule], *, state: str, unit: str, season: str = "spring", collars: float | None = None
) -> Judged:
    """The verdict of the state's own rules, else of all: the highest any gives, the lowest bound first named.

    ``state`` is a full name. Rules that do not fit unit, season or stage, and superseded, doubtful, derived or
    recalled ones, are left out; ``none`` without a rule where nothing is left.
    """
    fit = [rule for rule in rules if rule.usable and rule.fits(unit=unit, season=season, collars=collars)]
    own = [rule for rule in fit if state and state in rule.states]
    judged = [judge(count, rule) for rule in own or fit]
    if not judged:
        return Judged("none")
    # A rule on what nobody counted stands back for one that could be judged.
    could = [made for made in judged if made.because not in ("count_insects", "count_units")]
    return max(could or judged, key=lambda made: (RANK[made.verdict], -made.rule.act_bound if made.rule else 0.0))


def share_interval(found: int, looked: int, *, odds: float = 0.90) -> tuple[float, float]:
    """Exact (Clopper–Pearson) interval of a share (0–1) at ``odds``, equal tails; ends are 0 or 1 where all or none.

    Raises BadValue unless 0 ≤ found ≤ looked and looked ≥ 1.
    """
    Count(looked, units_with=found)
    return exact_interval(found, looked, level=odds)


def mean_interval(insects: int, looked: int, *, odds: float = 0.90) -> tuple[float, float]:
    """Exact Poisson interval of insects per unit at ``odds``, equal tails; too narrow where insects sit in clumps.

    Raises BadValue for counts below 0 or nothing looked at. Source: chi-square form of the Poisson limits (Garwood).
    """
    Count(looked, insects=insects)
    tail = (1.0 - odds) / 2.0
    low = 0.0 if insects == 0 else float(gammaincinv(insects, tail))
    return low / looked, float(gammaincinv(insects + 1, 1.0 - tail)) / looked


def samples_needed(precision: float, *, cv2: float) -> int:
    """Samples that give a mean to a relative precision (0.10 = 10 %, standard error over mean): cv² over precision².

    ``cv2`` is the squared spread of single samples over their mean; raises BadValue for a precision outside 0–1.
    """
    if not 0.0 < precision < 1.0:
        raise BadValue("precision", precision, "must lie between 0 and 1", "give 0.10 for 10 %")
    return math.ceil(cv2 / precision**2 - 1e-9)


def peaks_passed(heat: float, peaks: Sequence[float]) -> int:
    """How many of the ascending peaks a heat sum (same unit) has reached; a sum at a peak has reached it.

    Raises BadValue for a missing sum (NaN) or peaks that do not ascend.
    """
    if not peaks or any(later <= earlier for earlier, later in pairwise(peaks)):
        raise BadValue("peaks", list(peaks), "must ascend and hold at least one", "give them as 360, 1080, 1800")
    if math.isnan(heat):
        raise BadValue("heat", heat, "not known", "give the sum from 1 January")
    return bisect_right(peaks, heat)


def _bounds(count: Count, rule: Rule) -> Judged:
    """The verdict of the bounds alone: the lowest of those the rule has."""
    parts = []
    if rule.high is not None:
        parts.append(_by_mean(count, rule))
    if rule.share_high is not None:
        parts.append(_by_two(count, rule) if rule.of_two else _by_share(count, rule))
    return min(parts, key=lambda made: RANK[made.verdict])


def _by_mean(count: Count, rule: Rule) -> Judged:
    if count.insects is None:
        return Judged("more", rule, "count_insects")
    high = rule.high if rule.high is not None else math.inf
    low = rule.low if rule.low is not None else high
    if rule.kind == "sequential":
        return _by_sequence(count, rule, count.insects, low, high)
    return Judged(_zone(count.insects * rule.of_units / count.looked, low, high, over=rule.over), rule)


def _by_sequence(count: Count, rule: Rule, insects: int, low: float, high: float) -> Judged:
    """Act as soon as the bound is found; before all units are seen, go on counting."""
    if count.looked < rule.of_units:
        return Judged("act", rule) if insects >= high else Judged("more", rule, "keep_counting")
    rate = insects * rule.of_units / count.looked
    # The bounds are whole insects, "low − 1 or fewer": what lies between two whole numbers is counted on.
    if rate <= low - 1:
        return Judged("below", rule)
    return Judged("act", rule) if rate >= high else Judged("more", rule, "keep_counting")


def _by_share(count: Count, rule: Rule) -> Judged:
    if count.units_with is None:
        return Judged("more", rule, "count_units")
    return Judged(_share_zone(count.units_with / count.looked, rule), rule)


def _by_two(count: Count, rule: Rule) -> Judged:
    if count.units_with_two is not None:
        return Judged(_share_zone(count.units_with_two / count.looked, rule), rule)
    # No more units can hold two than half the insects: too few insects settle it without a second count.
    if count.insects is not None and _share_zone(count.insects // 2 / count.looked, rule) == "below":
        return Judged("below", rule)
    return Judged("more", rule, "count_two")


def _share_zone(share: float, rule: Rule) -> Verdict:
    high = rule.share_high if rule.share_high is not None else math.inf
    return _zone(share, rule.share_low if rule.share_low is not None else high, high, over=rule.over)


def _zone(value: float, low: float, high: float, *, over: bool) -> Verdict:
    slack = 1e-9  # 25 of 100 is 25 %, whatever the last bit says
    if over:
        return "act" if value > high + slack else "more" if value > low + slack else "below"
    return "act" if value >= high - slack else "more" if value >= low - slack else "below"


def _held_back(count: Count, rule: Rule) -> Judged:
    """Where the bounds are reached: live insects, their size, and what a count can't tell."""
    if rule.live and count.insects is None:
        return Judged("more", rule, "find_live")
    if rule.live and count.insects == 0:
        return Judged("below", rule, "none_live")
    if rule.small_mm is not None and count.length_mm is None:
        return Judged("more", rule, "measure")
    if rule.large_mm is not None and count.length_mm is not None and count.length_mm > rule.large_mm:
        return Judged("below", rule, "too_large")
    if rule.small_mm is not None and count.length_mm is not None and count.length_mm > rule.small_mm:
        return Judged("more", rule, "size_unsure")
    return Judged("more", rule, "unseen") if rule.unseen else Judged("act", rule)
