"""Advice for every field that was walked lately: snapshot → hazard → belief → advice. Writes nothing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby

from springwalk.engine import belief as believing
from springwalk.engine.advice import Advice, advise
from springwalk.engine.advice_facts import FieldFacts, Money
from springwalk.engine.advice_parts import Part, advise_parts
from springwalk.engine.belief_seen import WalkSeen
from springwalk.engine.hazard import Hazard
from springwalk.engine.losses import Plants, outlook
from springwalk.engine.state_rule import Counted
from springwalk.errors import NotFound
from springwalk.jobs.advised import AfterTreatment, FieldAdvice, MorningAdvice, OptionSaid, PartAdvice, RuleSaid
from springwalk.jobs.believed import Believed, believed, walked_lately, walked_units
from springwalk.jobs.fit import fit_on, passes_from
from springwalk.jobs.params import STATES
from springwalk.jobs.params_advice import advice_params, state_rules
from springwalk.jobs.results import Range
from springwalk.jobs.sheet import local_date
from springwalk.jobs.snapshot import Snapshot, field_at, season_of, snapshot
from springwalk.jobs.terms import Terms
from springwalk.jobs.walks_seen import (
    CUTWORM,
    asked_lately,
    last_search,
    new_on_rows,
    searched_since,
    stands_for,
    treated,
    treated_on,
    walked_since,
)  # fmt: skip
from springwalk.records import Walk
from springwalk.records.walks import Stop
from springwalk.store import Store
from springwalk.tables import cite, rows

WORTH_SAYING_PER_HA = 0.01
WITHOUT_WEATHER = "take in days of a station near it; until then your state's rule and the label stand alone"


@dataclass(frozen=True)
class _Told:
    """What was last counted in a unit, by walks of one day, and the search that goes with it."""

    walk: Walk
    stops: tuple[Stop, ...]
    found: WalkSeen
    """Larvae of the newest search since that day or in the last days; empty where there was none."""
    new: bool
    """Whether a marked row had more cut plants that day than before."""


def advise_of(snap: Snapshot, terms: Terms, *, only: str | None = None) -> tuple[FieldAdvice, ...]:
    """Advice for the fields walked in the last week, in the order of the snapshot; pure. ``only`` one field by its id.

    Left out: fields no weather or flight reaches, parts treated with an insecticide (another look decides there), and
    parts whose corn is past the stage at risk.
    """
    lately = set(walked_lately(snap))
    known = believed(snap, walked_units(snap)) if lately else None
    if known is None:
        return ()
    place = {k: at for at, k in enumerate(known.units)}
    made = [
        (k, at, told)
        for k, at in place.items()
        if k in lately and only in (None, snap.units[k].field.id) and (told := _last(snap, known, place, k)) is not None
    ]
    out, fit = [], fit_on(snap)
    for field_id, group in groupby(made, key=lambda one: snap.units[one[0]].field.id):
        parts = [_part(snap, k, at, told, known.belief, known.hazard, terms, fit[field_id]) for k, at, told in group]
        out.append(_field(snap, field_id, parts, terms))
    return tuple(out)


def advise_all(store: Store, terms: Terms, *, today: date | None = None) -> MorningAdvice:
    """The advice for every field walked in the last week, on the morning of ``today``."""
    day = today or local_date(season_of(store))
    return morning_advice(snapshot(store, today=day), terms)


def morning_advice(snap: Snapshot, terms: Terms) -> MorningAdvice:
    """The same from a snapshot; pure. Raises NotFound where no weather reaches the season."""
    if snap.inputs is None and walked_lately(snap):
        rule = "no weather reaches the season, so no odds can be given"
        raise NotFound("weather", snap.season.name, rule, WITHOUT_WEATHER)
    return MorningAdvice(today=snap.today, fields=advise_of(snap, terms), after=after_treatments(snap))


def after_treatments(snap: Snapshot) -> tuple[AfterTreatment, ...]:
    """Fields treated with an insecticide in which live larvae or fresh cuts were found since, in the last days."""
    since = walked_since(snap)
    out = []
    for field_id, units in groupby(enumerate(snap.units), key=lambda one: one[1].field.id):
        treated_days = [day for k, _ in units if (day := treated_on(snap, k)) is not None]
        if not treated_days:
            continue
        day = min(treated_days)
        walks = [w for w in snap.used_walks(field_id) if w.walked > day and w.walked >= since]
        stops = [stop for walk in walks for stop in walk.stops if stop.counted]
        larvae = [one for walk in walks for one in walk.larvae if one.species == CUTWORM]
        fresh = sum(stop.fresh_cut for stop in stops)
        if larvae or fresh:
            out.append(
                AfterTreatment(
                    field=field_id, name=_name(snap, field_id), treated=day, walked=max(w.walked for w in walks),
                    fresh_cut=fresh, places=sum(stop.places for stop in stops), larvae=len(larvae),
                )
            )  # fmt: skip
    return tuple(out)


def advise_field(store: Store, field_id: str, terms: Terms, *, today: date | None = None) -> FieldAdvice:
    """Advice for one field on the morning of ``today`` (the season's local date if None).

    All fields walked lately are asked together, since each says something of the others. Raises NotFound for a field
    that is not there or that no walk of the last week speaks of.
    """
    day = today or local_date(season_of(store))
    snap = snapshot(store, today=day)
    field_id = snap.fields[field_at(snap, field_id)].id
    if snap.inputs is None:
        raise NotFound("weather", field_id, "no weather reaches the field, so no odds can be given", WITHOUT_WEATHER)
    found = next(iter(advise_of(snap, terms, only=field_id)), None)
    if found is None and _all_left_out(snap, field_id):
        rule = "the walks of the last week contradict themselves, so that nothing counted is left to go by"
        raise NotFound("advice", field_id, rule, f"see what is asked: springwalk field {field_id}; and correct it")
    after = next((one for one in after_treatments(snap) if one.field == field_id), None)
    if found is None and after is not None:
        rule = f"it was treated on {after.treated}, and larvae or fresh cuts were found on {after.walked}"
        raise NotFound(
            "advice", field_id, rule, "check product, rate, timing and coverage; the label says what may follow"
        )
    if found is None:
        rule = "no walk of the last week says anything of larvae here, or the corn is past them, or it was treated"
        raise NotFound("advice", field_id, rule, "walk the field, take the walk in, and ask again")
    return found


def _name(snap: Snapshot, field_id: str) -> str:
    """The name of a field that has units."""
    return snap.units[snap.units_of_field(field_id)[0]].field.name


def _all_left_out(snap: Snapshot, field_id: str) -> bool:
    """Whether something was counted in the last week where nothing was treated, and all of it contradicts itself."""
    since = walked_since(snap)
    lately = [one for one in snap.checked.get(field_id, ()) if one.walk.walked >= since]
    told, used = (any(stop.counted for walk in walks for stop in walk.stops)
                  for walks in ([one.walk for one in lately], [one.used for one in lately]))  # fmt: skip
    open_ones = [k for k in snap.units_of_field(field_id) if not treated(snap, k)]
    return bool(open_ones) and told and not used


def _last(snap: Snapshot, known: Believed, place: Mapping[int, int], k: int) -> _Told | None:
    """The newest day on which a unit had counted stops of its own; ``place`` of units among the believed ones."""
    unit, at = snap.units[k], place[k]
    mine = [(place[j], snap.units[j]) for j in snap.units_of_field(unit.field.id) if j in place]
    planting = unit.planting.id if unit.planting else None
    spoken = [w for w in snap.used_walks(unit.field.id) if w.planting in (None, planting)]
    counted = [
        (w, stops) for w in spoken if (stops := tuple(s for s in w.stops if s.counted and at in stands_for(s, w, mine)))
    ]
    own = known.walks_of(at)
    if not counted:
        return _searched_only(snap, spoken, own)
    last = [(w, stops) for w, stops in counted if w.walked == counted[-1][0].walked]
    walk = next((w for w, _ in reversed(last) if w.collars is not None), last[-1][0])
    day = (walk.walked - snap.season.begins).days
    found = last_search(own, since=min(day, searched_since(snap)))
    stops = tuple(s for _, made in last for s in made)
    return _Told(walk, stops, found or WalkSeen(at, day), new_on_rows(spoken, walk.walked))


def _searched_only(snap: Snapshot, spoken: Sequence[Walk], own: Sequence[WalkSeen]) -> _Told | None:
    """A search that still tells, where nobody counted plants: what was found speaks alone."""
    found = last_search(own, since=searched_since(snap))
    if found is None:
        return None
    day = snap.season.begins + timedelta(days=found.day)
    walk = next((w for w in reversed(spoken) if w.walked == day), None)
    return None if walk is None else _Told(walk, (), found, new=False)


def _part(
    snap: Snapshot, k: int, at: int, told: _Told, belief: believing.Belief, hazard: Hazard, terms: Terms,
    fit: date | None,
) -> tuple[Part, PartAdvice]:  # fmt: skip
    today = (snap.today - snap.season.begins).days
    unit, params = snap.units[k], advice_params()
    collars = float(hazard.collars[at, min(today, hazard.collars.shape[1] - 1)])
    state = STATES.get(snap.season.state.upper(), snap.season.state)
    facts = FieldFacts(
        money=Money(terms.crop_per_ha, terms.own_pass_per_ha, terms.product_per_ha, terms.visit / unit.area_ha),
        plants=Plants(
            collars=collars,
            collars_seen=told.walk.collars is not None and told.walk.staging == "collars",
            soil=told.walk.soil,
            cut_heights=_heights(told.stops),
        ),
        counted=_counted(told, collars),
        search=_search(snap, told.found),
        spray_in_days=passes_from(snap, fit, terms),
        pass_in_days=terms.pass_in_days,
        fresh_cuts=told.new or any(stop.fresh_cut for stop in told.stops),
        state=state if any(rule.state == state for rule in state_rules()) else "",
        other_origin=float(belief.other_origin[at]),
    )
    view = outlook(hazard, at, today)
    said = advise(belief.weight[at], belief.grid.lam, view, facts, params, rules=state_rules())
    return Part(part_name(snap, k), unit.area_ha, facts.counted.cut, said), _said(snap, k, told, facts, said, fit)


def part_name(snap: Snapshot, k: int) -> str:
    """What a part is called: its zone, with its planting where the field has several; empty for the rest of a field."""
    unit = snap.units[k]
    zone, planting = unit.zone.name if unit.zone else "", unit.planting.id if unit.planting else ""
    several = len({p.id for j in snap.units_of_field(unit.field.id) if (p := snap.units[j].planting)}) > 1
    return " of ".join(word for word in (zone, f"planting {planting}" if several else "") if word)


def _search(snap: Snapshot, found: WalkSeen) -> WalkSeen | None:
    return found if found.day >= searched_since(snap) and (found.plants_searched or found.larvae_found) else None


def _heights(stops: Sequence[Stop]) -> tuple[int, int, int]:
    return (
        sum(s.fresh_cut_above for s in stops), sum(s.fresh_cut_at for s in stops), sum(s.fresh_cut_below for s in stops)
    )  # fmt: skip


def _counted(told: _Told, collars: float) -> Counted:
    """The last walk for the state's rule; heights are known only where every cut plant was fresh."""
    stops, seen = told.stops, told.found
    places = sum(s.places for s in stops)

    def percent(count: int) -> float:
        return 100.0 * count / places if places else 0.0

    fresh, old = sum(s.fresh_cut for s in stops), sum(s.old_cut + s.regrown + s.tunnelled for s in stops)
    above, at, below = _heights(stops)
    lengths = seen.lengths_mm
    return Counted(
        cut=percent(fresh + old),
        wilted=percent(sum(s.wilted for s in stops)),
        leaf_fed=percent(sum(s.leaf_fed for s in stops)),
        below=percent(below) if not old else None,
        above=percent(above + at) if not old else None,
        live_larvae=seen.larvae_found > 0,
        larvae_per_100=100.0 * seen.larvae_found / seen.plants_searched if seen.plants_searched else None,
        larva_mm=sum(lengths) / len(lengths) if lengths else None,
        collars=collars,
    )


def _said(
    snap: Snapshot, k: int, told: _Told, facts: FieldFacts, said: Advice, fit: date | None
) -> PartAdvice:  # fmt: skip
    unit, look = snap.units[k], said.looks[0]
    days = {option.days for option in said.options}
    dated = {day: snap.today + timedelta(days=day) for day in {*days, said.days}}
    return PartAdvice(
        planting=unit.planting.id if unit.planting else None,
        zone=unit.zone.name if unit.zone else None,
        name=part_name(snap, k),
        area_ha=unit.area_ha,
        verdict=said.verdict,
        on=dated[said.days],
        options=tuple(
            OptionSaid(
                kind=o.kind, on=dated[o.days], cost_per_ha=o.cost, lost_per_ha=o.expected, odds_best=o.odds_best,
                bad_tenth_per_ha=o.bad_tenth,
            )
            for o in said.options
        ),
        lost_if_left_per_ha=said.lost_if_left,
        larvae_per_100=_range(said.larvae_per_100),
        cuts_ahead_per_100=_range(said.cuts_ahead),
        break_even_per_100=said.break_even_cuts,
        loss_per_cut=said.loss_per_cut,
        kill=said.kill,
        walked=told.walk.walked,
        places=sum(s.places for s in told.stops),
        percent_cut=facts.counted.cut,
        larvae_found=None if facts.search is None else facts.search.larvae_found,
        collars=facts.plants.collars,
        reasons=said.reasons,
        next_look=look.kind if look.value > WORTH_SAYING_PER_HA else "",
        next_look_per_ha=look.value,
        rule=_rule(said), fit_on=fit, larvae_before=_larvae_before(snap, unit.field.id, facts),
        larvae_mm=() if facts.search is None else tuple(facts.search.lengths_mm),
    )  # fmt: skip


def _larvae_before(snap: Snapshot, field_id: str, facts: FieldFacts) -> date | None:
    """The day larvae were found that is too long ago to treat on; None where a search still tells."""
    if facts.search is not None:
        return None
    return max((w.walked for w in snap.used_walks(field_id) if w.larvae), default=None)


def _range(three: tuple[float, float, float]) -> Range:
    low, mid, high = three
    return Range(low=low, mid=mid, high=high)


def _rule(said: Advice) -> RuleSaid | None:
    if said.beside is None:
        return None
    one = said.beside.says
    source = next(row["source"] for row in rows("state_rules") if row["key"] == one.key)
    return RuleSaid(
        state=one.state, says=one.says, percent=one.percent, why=one.why, agrees=said.beside.agrees,
        differs=said.beside.why, source=cite(source),
    )  # fmt: skip


def _field(
    snap: Snapshot, field_id: str, parts: Sequence[tuple[Part, PartAdvice]], terms: Terms
) -> FieldAdvice:  # fmt: skip
    whole = advise_parts([part for part, _ in parts])
    return FieldAdvice(
        field=field_id, name=_name(snap, field_id), today=snap.today, parts=tuple(said for _, said in parts),
        percent_cut=whole.percent_cut, what=whole.what, treat=whole.treat,
        left_usd=whole.left, all_treated_usd=whole.all_treated, as_advised_usd=whole.as_advised, terms=terms.said,
        questions=asked_lately(snap, field_id),
    )  # fmt: skip
