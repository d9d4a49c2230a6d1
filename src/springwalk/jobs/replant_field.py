"""Keep or replant a field of the store, whole or in part: snapshot → dates, frost, larvae → cases → one answer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any, Literal

from springwalk.errors import BadValue
from springwalk.jobs.replant import Case, replant
from springwalk.jobs.replant_larvae import larvae_of
from springwalk.jobs.replant_parts import together, weighted_insurance, weighted_tables
from springwalk.jobs.replant_policy import Policy
from springwalk.jobs.replant_ready import frost_years, ready_of
from springwalk.jobs.replant_said import FrostYears, LarvaeSaid, PartReplant, ReplantSaid
from springwalk.jobs.replant_stands import Judged, judged
from springwalk.jobs.sheet import local_date
from springwalk.jobs.snapshot import Snapshot, field_at, season_of, snapshot
from springwalk.jobs.stand_tables import amount, has_table
from springwalk.jobs.station_series import DayRow
from springwalk.jobs.terms import TermsSaid, terms_of
from springwalk.jobs.walks_seen import treated
from springwalk.store import Store
from springwalk.store.days import days as stored_days
from springwalk.units import ACRES_PER_HA

StandFrom = Literal["typed", "seeds", "usual"]
MONEY = ("crop", "price")


@dataclass(frozen=True)
class Asked:
    """A replant question of a field as typed; stands in plants/acre, money in US$ per acre, the trip for the field.

    ``stands`` by part, "" for every part not named; ``part`` and ``planting`` narrow that. None = not typed: the date
    and the money are then those of the store, days to wait count as none. ``also`` are fields of a Case that hold for
    every part.
    """

    stands: Mapping[str, float]
    cost_usd_ac: float | None
    part: str = ""
    planting: str = ""
    planted: date | None = None
    replant_on: date | None = None
    replant_stand: float | None = None
    yield_bu_ac: float | None = None
    price_usd_bu: float | None = None
    trip_usd: float = 0.0
    kill_days: float | None = None
    label_days: float | None = None
    queue_days: float | None = None
    cut_share_new: float | None = None
    state: str = ""
    hybrid_need: float | None = None
    heat_to_frost: Sequence[float] = ()
    also: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class _Shared:
    """What is the same for every part."""

    day: date
    money: TermsSaid
    heat: tuple[float, ...]
    state: str
    larvae: Mapping[int, LarvaeSaid]


def replant_field(
    store: Store, field_id: str, asked: Asked, policy: Policy | None = None, *, today: date | None = None
) -> ReplantSaid:
    """Whether to replant a field on the morning of ``today`` (the season's local date if None); writes nothing.

    Raises NotFound for a field that is not there, OutsideSeason, and BadValue for what can't be, for a planting date
    that nobody told and for a cost that was not typed.
    """
    day = today or local_date(season_of(store))
    snap = snapshot(store, today=day)
    rows: Mapping[str, Sequence[DayRow]] = {}
    if not asked.heat_to_frost:  # past falls are read for the frost alone
        with store.reading() as read:
            rows = stored_days(read)
    return replant_of(snap, field_id, asked, policy, rows)


def replant_of(
    snap: Snapshot, field_id: str, asked: Asked, policy: Policy | None, rows: Mapping[str, Sequence[DayRow]]
) -> ReplantSaid:
    """The same from a snapshot and its station days (date text, min °C, max °C, rain mm); pure."""
    at = field_at(snap, field_id)
    name = snap.fields[at].name
    parts, not_judged = judged(snap, at, asked.stands, part=asked.part, planting=asked.planting, planted=asked.planted)
    ready = ready_of(snap, at, kill_days=asked.kill_days, label_days=asked.label_days, queue_days=asked.queue_days)
    day = max(asked.replant_on or ready.on, ready.on)
    frost = None if asked.heat_to_frost else frost_years(rows, snap, at, day)
    shared = _shared(snap, asked, parts, day, frost)
    found = _parts(snap, asked, parts, shared, policy)
    certain = bool(asked.also.get("old_removed", True))
    whole = together(found, trip_usd=_trip(asked), all_judged=not not_judged, certain=certain)
    assumed = tuple(one for one in shared.money.assumed if one in MONEY)
    return ReplantSaid(
        field=snap.fields[at].id, name=name, today=snap.today, advice=whole.advice, what=whole.what,
        replant=tuple(part.name for part in whole.replant), replant_ha=sum(part.area_ha for part in whole.replant),
        insurer_first=policy is not None, tables=weighted_tables(found), insurance=weighted_insurance(found),
        gain_of=tuple(part.name for part in whole.counted),
        gain_usd_range=whole.gain_usd_range, trip_usd=asked.trip_usd, replant_on=day,
        asked_on=asked.replant_on, ready=ready, frost=frost,
        hybrid_need_ddf=asked.hybrid_need, yield_bu_ac=shared.money.crop_bu_ac, price_usd_bu=shared.money.price_usd_bu,
        cost_usd_ac=_cost(asked), assumed=assumed, no_table="" if shared.state else snap.season.state,
        old_removed=certain, drying_usd_point_bu=float(asked.also.get("drying_usd_point_bu", 0.0)),
        parts=found, not_judged=not_judged,
    )  # fmt: skip


def _shared(
    snap: Snapshot, asked: Asked, parts: Sequence[Judged], day: date, frost: FrostYears | None
) -> _Shared:  # fmt: skip
    typed = {"crop": asked.yield_bu_ac, "price": asked.price_usd_bu}
    money = terms_of(snap.season, typed).said
    assert money is not None
    heat = tuple(asked.heat_to_frost) or (frost.by_year_ddf if frost else ())
    larvae: dict[int, LarvaeSaid] = {}
    if asked.cut_share_new is None:
        larvae = larvae_of(snap, [part.unit for part in parts], day, planted=asked.planted)
    state = asked.state or (snap.season.state if has_table(snap.season.state) else "")
    return _Shared(day, money, heat if asked.hybrid_need is not None else (), state, larvae)


def _parts(
    snap: Snapshot, asked: Asked, parts: Sequence[Judged], shared: _Shared, policy: Policy | None
) -> tuple[PartReplant, ...]:
    """Each part by itself; where the policy asks for acres, those it would pay for are counted first."""
    found = tuple(_part(snap, asked, part, shared, policy) for part in parts)
    if policy is None or not policy.acres_needed:
        return found
    paid = sum(one.area_ha for one in found if one.found["insurance"]["pays"]) * ACRES_PER_HA
    counted = replace(policy, acres=paid)
    return found if counted.large_enough else tuple(_part(snap, asked, part, shared, counted) for part in parts)


def _part(snap: Snapshot, asked: Asked, part: Judged, shared: _Shared, policy: Policy | None) -> PartReplant:
    stand, stand_from = _new_stand(snap, asked, part)
    larvae = shared.larvae.get(part.unit)
    case = Case(
        planted=part.planted, stand=part.stand, replant_on=shared.day, replant_stand=stand,
        yield_bu_ac=shared.money.crop_bu_ac, price_usd_bu=shared.money.price_usd_bu, cost_usd_ac=_cost(asked),
        state=shared.state, cut_share_new=asked.cut_share_new or 0.0, heat_to_frost=shared.heat,
        hybrid_need=asked.hybrid_need if shared.heat else None, **asked.also,
    )  # fmt: skip

    def at(new: float, old: float) -> dict[str, Any]:
        return replant(replace(case, cut_share_new=new, cut_share_old=old), policy)

    unit = snap.units[part.unit]
    found = at(larvae.cut_new.mid, larvae.cut_old.mid) if larvae else replant(case, policy)
    return PartReplant(
        name=part.name, planting=unit.planting.id if unit.planting else None,
        zone=unit.zone.name if unit.zone else None, area_ha=unit.area_ha, planted=part.planted, stand=part.stand,
        replant_stand=stand, replant_stand_from=stand_from, advice=found["advice"], found=found, larvae=larvae,
        why_no_larvae="" if larvae else _why_none(snap, asked, part.unit),
        if_many=at(larvae.cut_new.high, larvae.cut_old.high)["advice"] if larvae else "",
        if_few=at(larvae.cut_new.low, larvae.cut_old.low)["advice"] if larvae else "",
    )  # fmt: skip


def _why_none(snap: Snapshot, asked: Asked, unit: int) -> str:
    if asked.cut_share_new is not None:
        return "typed"
    return "treated" if treated(snap, unit) else "no weather"


def _new_stand(snap: Snapshot, asked: Asked, part: Judged) -> tuple[float, StandFrom]:
    """Plants per acre of the new stand: typed, else what the part's own seeding rate gives, else the best of most."""
    planting = snap.units[part.unit].planting
    if asked.replant_stand is not None:
        return asked.replant_stand, "typed"
    if planting is not None and planting.seeds_per_ha is not None:
        return planting.seeds_per_ha / ACRES_PER_HA * amount("usual_emergence"), "seeds"
    return amount("best_stand"), "usual"


def _cost(asked: Asked) -> float:
    if asked.cost_usd_ac is None:
        rule, todo = "what replanting costs is not known", "type it with the seed at full price, like --cost 60"
        raise BadValue("cost", "(not given)", rule, todo, unit="US$/acre")
    return asked.cost_usd_ac


def _trip(asked: Asked) -> float:
    if not 0.0 <= asked.trip_usd <= 100_000.0:
        rule = "outside 0 … 100000"
        raise BadValue("trip", f"{asked.trip_usd:g}", rule, "give what one trip costs, whatever its acres", unit="US$")
    return asked.trip_usd
