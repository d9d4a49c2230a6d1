"""What the questions answer with: frozen results in SI units and local dates; words are made in ``show``."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict


class Result(BaseModel):
    """Base of results: frozen."""

    # Not known is NaN in a series; kept answers must bring it back.
    model_config = ConfigDict(frozen=True, extra="forbid", ser_json_inf_nan="constants")


class Range(Result):
    """An estimate: middle value and the 10–90 % range. All in the unit the field name says."""

    low: float
    mid: float
    high: float


class DateRange(Result):
    """An estimated date: median and the 10–90 % range; None where it is not reached within the season."""

    early: date | None
    mid: date | None
    late: date | None


class StageShares(Result):
    """Share (0–1) of this flight's brood in each stage; sums to 1 over the middle values' means."""

    egg: Range
    instars_1_3: Range
    instar_4: Range
    instar_5: Range
    instar_6: Range
    pupa: Range
    able: Range
    """In instars 4–6 together: large enough to cut plants."""


class HeatSince(Result):
    """Heat since a significant capture by one named method, and the date it reaches the rule's 300 °F·day."""

    method: str
    heat_ddc: float | None
    reaches_rule: DateRange


class Capture(Result):
    """A significant capture that counts for a field."""

    trap: str
    """The trap, or for a reported flight the place it was reported near."""
    night: date
    moths: float | None
    """None: a reported flight, which tells no counts."""
    rule: str
    """The rule it met, or "reported"."""
    by_method: tuple[HeatSince, ...]
    source: str = ""
    """Who reported it; empty for a trap of our own."""
    nights_either_way: int = 0
    """How many nights earlier or later a reported flight may have been."""


class Reason(Result):
    """A reason by code, with the facts its words need."""

    code: str
    facts: dict[str, Any] = {}


LookState = Literal["coming", "due", "last day", "overdue", "missed"]
"""``coming`` opens later; ``overdue`` closed and nobody looked; ``missed`` is past being useful, and still listed."""


class Look(Result):
    """One thing to look at in a field between two days: why, what for, what can still be done, what not to decide yet.

    ``key`` names it for good (a look is ended by it). ``closed_by``: any walk inside the window ends it, or only
    someone who says it was done.
    """

    key: str
    code: str
    planting: str | None
    zone: str | None
    opens: date
    closes: date
    lapses: date
    state: LookState
    when: DateRange | None = None
    """The estimated date behind the window; None where the window counts from something seen."""
    why: tuple[Reason, ...]
    look_for: tuple[Reason, ...] = ()
    can_do: tuple[Reason, ...] = ()
    not_yet: tuple[Reason, ...] = ()
    closed_by: Literal["walk", "done"] = "walk"
    alone: bool = True
    """Whether it makes a walk by itself; False: only worth it for whoever is there anyway."""
    minutes: float = 0.0
    mark: str = ""
    source: str = ""


class KeepOut(Result):
    """A field nobody enters: what was put on, and the local time it opens (None until the interval is typed)."""

    what: str
    product: str
    on: date
    opens: datetime | None
    told_time: bool
    """False: the hour of the pass was not told, so its day's end is taken."""
    zone: str | None = None


class Seedbed(Result):
    """Soil at 10 cm (yesterday's mean) and the water of the surface layer this morning; estimates, 10–90 % ranges."""

    soil_c: Range | None
    drained_mm: Range | None
    """Water already dried out of the surface layer (FAO-56 De): 0 = wet through."""
    holds_mm: float | None
    """Water that can dry out of the layer (FAO-56 TEW)."""
    rain_known: bool
    fit_on: date | None = None
    """The first day dry enough to walk if no more rain falls; None where it is fit already or rain is not known."""


class Part(Result):
    """One planting × zone of a field: what is there and when."""

    planting: str | None
    zone: str | None
    area_ha: float
    planted: date | None
    green: tuple[tuple[date, str], ...]
    """Dated states of the ground, oldest first (what was told, not guessed)."""
    green_told: bool
    egg_load: float
    """Eggs laid here, 1 = one significant flight over dense winter annuals."""
    survival: float
    larvae_per_100: float
    """Expected larvae that reach cutting size per 100 plant places (assumption λ0)."""
    shares: StageShares | None
    can_cut_10: DateRange | None
    can_cut_half: DateRange | None
    through_90: DateRange | None
    cutting_begins: DateRange | None
    feeding_over_odds: float | None = None
    """Chance (0–1) that 90 % of the brood is through feeding before this corn is up."""
    begins_by_method: dict[str, date | None] = {}
    """Median date cutting begins if heat were counted by each method."""
    able_instar: str | None = None
    """The instar most of the larvae that can cut are in this morning."""
    begin_instar: str | None
    """The instar most of the able larvae are in on the median date cutting begins."""
    emergence: DateRange | None
    collars: Range | None
    collars_basis: str
    corn_disagrees: bool = False
    """The corn seen is more than three standard deviations from what the planting date says."""
    cut_next_7_per_100: Range | None
    first_look: date | None
    reasons: tuple[Reason, ...] = ()
    seedbed: Seedbed | None = None


class LastWalk(Result):
    """The newest walk of a field, as counted."""

    walked: date
    person: str
    places: int
    fresh_cut: int
    old_cut: int
    leaf_fed: int
    larvae: int
    larvae_mm: tuple[float, ...] = ()
    largest_instar: int | None = None
    looked_places: int = 0
    """Places looked at because it was worst there: kept apart from the count."""
    looked_fresh_cut: int = 0
    collars: float | None
    staged: str = ""
    """What was typed where the stage was not told in collars: it is shown, not used."""


class Row(Result):
    """One field on the morning sheet. ``parts`` lead with the part that decides."""

    field: str
    name: str
    grower: str
    area_ha: float
    latitude: float
    longitude: float
    walk_today: bool
    seen_cutting: bool = False
    """The last walk found fresh cuts or larvae of cutting size: such fields come first."""
    cannot_say: bool = False
    """Something needed is missing: not the same as no walk needed."""
    cut_next_7_per_100: Range | None
    """Expected in the part that leads (``lead_part``), by which the sheet is ordered."""
    cut_next_7_whole_field_per_100: Range | None = None
    """The same over the whole field, parts weighted by area."""
    lead_part: str = ""
    """Which part leads, in words; empty where the field is one part."""
    why: tuple[Reason, ...]
    look_for: tuple[Reason, ...]
    come_back: date | None
    first_look: date | None
    captures: tuple[Capture, ...]
    last_walk: LastWalk | None
    parts: tuple[Part, ...]
    looks: tuple[Look, ...] = ()
    """What else there is to look at, open or coming, in the order of its dates."""
    cutworm: bool = False
    """Whether the walk for cutworm is due today, beside the looks."""
    also: tuple[Reason, ...] = ()
    """Stand pests to watch for while there."""
    keep_out: KeepOut | None = None
    too_wet: Reason | None = None


class WeatherBasis(Result):
    """What the heat rests on: stations, last observed day, gaps, members and where they come from."""

    stations: tuple[str, ...]
    attribution: tuple[str, ...]
    observed_to: date | None
    members: int
    members_from: str
    gaps: tuple[Reason, ...]
    forecast_to: date | None = None
    """The last day the weather forecast in use reaches; None without one."""


class Sheet(Result):
    """The morning sheet: fields to walk in order, then the fields that need no walk."""

    season: str
    year: int
    today: date
    today_given: bool
    rows: tuple[Row, ...]
    rest: tuple[Row, ...]
    notes: tuple[Reason, ...]
    weather: WeatherBasis
    heat_method: str
    capture_rule: str
    engine_version: str
    settings_hash: str


class Series(Result):
    """Daily values of one field for the season figure; each list is as long as ``days``."""

    days: tuple[date, ...]
    moths_per_night: tuple[float, ...]
    significant: tuple[bool, ...]
    shares: dict[str, tuple[float, ...]]
    """Mean share of the brood laid so far in: egg, instars 1–3, instar 4, instar 5, instar 6, pupa (0 before any)."""
    collars_low: tuple[float, ...]
    collars_mid: tuple[float, ...]
    collars_high: tuple[float, ...]
    cut_low: tuple[float, ...]
    cut_mid: tuple[float, ...]
    cut_high: tuple[float, ...]
    """Plants cut per 100 so far if nothing is done."""
    seen_collars: tuple[tuple[date, float], ...]
    seen_cut: tuple[tuple[date, float], ...]


class FieldPage(Result):
    """One field, answer first: its row of the sheet, the figure's series, what was told and seen."""

    sheet_today: date
    season: str
    row: Row
    series: Series | None
    walks: tuple[LastWalk, ...]
    events: tuple[Reason, ...]
    weather: WeatherBasis
    heat_method: str
    capture_rule: str
    sources: tuple[tuple[str, str, str], ...]
    """(what, mark, source) of the numbers used."""
    questions: tuple[Reason, ...] = ()
    """What in its walks can't be right as told, oldest walk first."""
