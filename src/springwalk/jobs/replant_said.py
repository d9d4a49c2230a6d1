"""What a replant question of a field answers with: each part for itself, the field, and what both rest on."""

from __future__ import annotations

from datetime import date
from typing import Any, Literal

from springwalk.jobs.results import DateRange, Range, Result

What = Literal["whole", "part", "none", "unsure"]


class Ready(Result):
    """The earliest real day to replant, ``on``, and its pieces in days; None = not typed, or not known (``dry``)."""

    today: date
    dry_days: int | None
    kill_days: float | None
    label_days: float | None
    queue_days: float | None
    on: date


class FrostYears(Result):
    """Heat from the replanting day to the first killing frost in past years at a station: °F·day, and its dates."""

    station: str
    years: int
    heat_ddf: Range
    frost: DateRange
    by_year_ddf: tuple[float, ...]


class LarvaeSaid(Result):
    """Shares (0–1) that larvae still there are expected to cut of the new plants, and of the old ones were they kept.

    The middle is the mean, the ends are the 10 and 90 % points of what is believed. ``walked`` is the newest walk with
    counted stops of the part; None = nobody walked it, and the belief is that of the flight and the other fields.
    """

    cut_new: Range
    cut_old: Range
    walked: date | None
    places: int


class PartReplant(Result):
    """One part judged by itself. ``name`` is empty for a field of one part; ``found`` answers as a typed case does.

    ``why_no_larvae`` says why larvae are not counted: "typed", "treated" or "no weather". ``if_many`` and ``if_few``
    are the advice at the ends of their range.
    """

    name: str
    planting: str | None
    zone: str | None
    area_ha: float
    planted: date
    stand: float
    replant_stand: float
    replant_stand_from: Literal["typed", "seeds", "usual"]
    advice: str
    found: dict[str, Any]
    larvae: LarvaeSaid | None = None
    why_no_larvae: str = ""
    if_many: str = ""
    if_few: str = ""


class ReplantSaid(Result):
    """The replant question of a field. ``tables`` are area-weighted over the parts judged, per acre, no trip in them.

    ``replant`` names the parts to replant, ``replant_ha`` is their area. ``gain_usd_range`` is over the tables, the
    trip paid, for the parts ``gain_of``: those that gain by themselves, else those the tables don't agree on, else all
    judged. ``asked_on`` is the day that was asked for. ``insurer_first``: terms of a policy were typed. ``assumed``
    names money that nobody typed. ``no_table`` is a state without a table of its own. ``drying_usd_point_bu`` is as
    typed, 0 = not counted.
    """

    field: str
    name: str
    today: date
    advice: str
    what: What
    replant: tuple[str, ...]
    replant_ha: float
    insurer_first: bool
    tables: tuple[dict[str, Any], ...]
    insurance: dict[str, Any] | None
    gain_of: tuple[str, ...]
    gain_usd_range: tuple[float, float] | None
    trip_usd: float
    replant_on: date
    asked_on: date | None
    ready: Ready
    frost: FrostYears | None
    hybrid_need_ddf: float | None
    yield_bu_ac: float
    price_usd_bu: float
    cost_usd_ac: float
    assumed: tuple[str, ...]
    no_table: str
    old_removed: bool
    drying_usd_point_bu: float = 0.0
    parts: tuple[PartReplant, ...]
    not_judged: tuple[str, ...]
