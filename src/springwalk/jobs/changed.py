"""What a walk changed: for its own field, for fields nobody walked, and for the season; belief with it and without."""

from __future__ import annotations

from datetime import date

import numpy as np

from springwalk.engine.losses import spread
from springwalk.errors import NotFound
from springwalk.jobs.believed import Believed, believed, on_hazard
from springwalk.jobs.results import Range, Result
from springwalk.jobs.sheet import local_date
from springwalk.jobs.snapshot import Snapshot, field_at, season_of, snapshot
from springwalk.records import Walk
from springwalk.store import Store

WORTH_SAYING = 0.05
"""A field whose expected larvae moved by less than this share, and by less than 0.05 per 100, is not named."""


class Moved(Result):
    """One field before and after: larvae per 100 plants that cut (area-weighted mean over parts), and odds of any."""

    field: str
    name: str
    walked: bool
    before_per_100: Range
    after_per_100: Range
    any_before: float
    any_after: float


class Changed(Result):
    """What one walk (or all walks of one day) of a field changed. ``others`` dearest moves first.

    ``brood_later_ddc``: by how much the season's brood is now believed later than before, °C·day (negative: earlier);
    ``fields_with`` expected number of fields with any larvae, before and after.
    """

    field: str
    name: str
    walked: date
    own: Moved
    others: tuple[Moved, ...]
    unmoved: int
    brood_later_ddc: float
    with_before: float
    with_after: float
    other_origin: float = 0.0
    """Chance that larvae found here are not of this flight: what is said above speaks of this flight only."""


def changed(store: Store, field_id: str, *, today: date | None = None) -> Changed:
    """What a field's newest walk changed, as of ``today`` (the season's local date if None)."""
    return changed_by(snapshot(store, today=today or local_date(season_of(store))), field_id)


def changed_by(snap: Snapshot, field_id: str, walk: str | None = None) -> Changed:
    """What a field's walk changed: the walk of that id, the newest where None; pure.

    Raises NotFound for a field without weather or walk.
    """
    field = snap.fields[field_at(snap, field_id)]
    walks = [w for w in snap.walks.get(field.id, ()) if walk in (None, w.id)]
    after = believed(snap, range(len(snap.units))) if walks else None
    if not walks or after is None:
        raise NotFound(
            "walk", field_id, "no walk of this field counts here", "walk the field, take the walk in, ask again"
        )
    mine: Walk = walks[-1]
    before = on_hazard(snap, after.units, after.hazard, without=(mine.id,), expected=after.expected)
    moved = _moved(snap, before, after)
    others = [one for one in moved if one.field != field.id and _tells(one)]
    others.sort(key=lambda one: (-abs(one.after_per_100.mid - one.before_per_100.mid), one.field))
    own = next(one for one in moved if one.field == field.id)
    return Changed(
        field=field.id, name=field.name, walked=mine.walked, own=own, others=tuple(others),
        unmoved=len(moved) - 1 - len(others), brood_later_ddc=_brood(after) - _brood(before),
        with_before=sum(one.any_before for one in moved), with_after=sum(one.any_after for one in moved),
        other_origin=max(
            float(after.belief.other_origin[at])
            for at, k in enumerate(after.units) if snap.units[k].field.id == field.id
        ),
    )  # fmt: skip


def _brood(known: Believed) -> float:
    """The season's shift expected, °C·day."""
    belief = known.belief
    return float(belief.season_weight.sum(axis=(0, 1)) @ belief.season.shift_ddc)


def _moved(snap: Snapshot, before: Believed, after: Believed) -> list[Moved]:
    walked = {walk.unit for walk in after.walks}
    by_field: dict[str, list[int]] = {}
    for at, k in enumerate(after.units):
        by_field.setdefault(snap.units[k].field.id, []).append(at)
    names = {field.id: field.name for field in snap.fields}
    return [
        Moved(
            field=field, name=names[field], walked=any(at in walked for at in places),
            before_per_100=_load(snap, before, places), after_per_100=_load(snap, after, places),
            any_before=_any(before, places), any_after=_any(after, places),
        )
        for field, places in by_field.items()
    ]  # fmt: skip


def _load(snap: Snapshot, known: Believed, places: list[int]) -> Range:
    """Larvae per 100 plants over a field's parts by area; the range is that of its largest part."""
    area = np.array([snap.units[known.units[at]].area_ha for at in places])
    mean = float(area @ known.belief.mean_load[places] / area.sum())
    low, _, high = spread(known.belief.grid.lam, known.belief.load[places[int(area.argmax())]])
    return Range(low=min(low, mean), mid=mean, high=max(high, mean))


def _any(known: Believed, places: list[int]) -> float:
    """Chance that any part has larvae: that of the likeliest part, so a lower bound."""
    return float(known.belief.any_larvae[places].max())


def _tells(one: Moved) -> bool:
    by = abs(one.after_per_100.mid - one.before_per_100.mid)
    return by >= max(WORTH_SAYING * one.before_per_100.mid, WORTH_SAYING)
