"""What in a walk can't be true together, or hardly: kept as told, asked about, and left out of belief where it must be.

Pure: walks and planting dates in, questions out. A question is a reason whose facts say the walk, its date and what is
``left_out``: "stop" (its number in ``stop``), "search", "collars", "corn" (stops and collars), "number" (how many
larvae: their sizes still count), or "" (unlikely only, used as told).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from springwalk.jobs.results import Reason
from springwalk.records import PLANT_STATES, Larva, Stop, Walk
from springwalk.tables import number, numbers, rows

IN_ONE_PLACE = tuple(state for state in PLANT_STATES if state != "double")
"""States of which a place has one only; a double holds two plants."""
LOST = ("fresh_cut_above", "fresh_cut_at", "fresh_cut_below", "old_cut", "regrown", "tunnelled", "empty_place")
"""What a marked row keeps: a plant that was cut is old, regrown, tunnelled or gone at the next look, never whole."""


@dataclass(frozen=True)
class Known:
    """What the season tells of a field: the day of each planting by its id, None where nobody wrote it down."""

    planted: Mapping[str, date | None] = field(default_factory=dict)

    def days(self, planting: str | None) -> list[date]:
        """Planting dates a walk speaks of, earliest first; none where one of them is not told."""
        days = [day for name, day in self.planted.items() if planting in (None, name)]
        return [] if None in days else sorted(day for day in days if day is not None)


@dataclass(frozen=True)
class Checked:
    """One walk as told, as it is ``used`` (without what contradicts itself), and what is asked about it."""

    walk: Walk
    used: Walk
    questions: tuple[Reason, ...]


def walk_order(walk: Walk) -> tuple[date, int, str]:
    """By day, then hour (untold first), then id: the same whoever entered what first."""
    return walk.walked, -1 if walk.hour is None else walk.hour, walk.id


def check_walks(walks: Iterable[Walk], known: Known) -> tuple[Checked, ...]:
    """Each walk of one field, oldest first, checked by itself and against the walks before it."""
    out: list[Checked] = []
    for walk in sorted(walks, key=walk_order):
        asked = questions_of(walk, [one.used for one in out], known)
        out.append(Checked(walk, used_of(walk, asked), asked))
    return tuple(out)


def questions_of(walk: Walk, earlier: Sequence[Walk], known: Known) -> tuple[Reason, ...]:
    """What is to be asked about a walk: its places, marked rows, larvae and corn. Codes begin with ``walk_``.

    ``earlier`` walks of the same field as they are used; those of the same day or later are passed over, because
    nobody knows which came first.
    """
    before = [one for one in earlier if one.walked < walk.walked and _same(walk.planting, one.planting)]
    before = [one for one in before if not _replanted(one, walk, known)]
    return (*_places(walk), *_marked(walk, before), *_larvae(walk), *_corn(walk, before, known))


def used_of(walk: Walk, questions: Sequence[Reason]) -> Walk:
    """The walk without what its questions leave out."""
    out = {str(one.facts["left_out"]) for one in questions}
    if not out - {"", "number"}:
        return walk
    gone = {int(one.facts["stop"]) for one in questions if one.facts["left_out"] == "stop"}
    changes: dict[str, Any] = {
        "stops": () if "corn" in out else tuple(s for k, s in enumerate(walk.stops, 1) if k not in gone)
    }
    if out & {"corn", "collars"}:
        changes["collars"] = None
    if "search" in out:  # without the plants searched the larvae left say only how far on they are
        kept = tuple(larva for larva in walk.larvae if not (_long(larva) or _short(larva)))
        changes |= {"larvae": kept, "plants_searched": None}
    return walk.model_copy(update=changes)


def _ask(walk: Walk, code: str, left_out: str, **facts: Any) -> Reason:
    return Reason(code=code, facts={"walk": walk.id, "date": walk.walked, "left_out": left_out, **facts})


def _places(walk: Walk) -> Iterator[Reason]:
    for k, stop in enumerate(walk.stops, 1):
        seen = sum(getattr(stop, state) or 0 for state in IN_ONE_PLACE)
        if seen > stop.places:
            yield _ask(
                walk, "walk_more_than_places", "stop", stop=k, row=stop.marked_row, seen=seen, places=stop.places
            )


def row_key(stop: Stop) -> str:
    """A marked row's name as two people would write it; "" where the stop is not marked."""
    return " ".join(stop.marked_row.split()).casefold()


def lost(stop: Stop) -> int:
    """Plants of a stop that were cut or are gone: on the same plants later never fewer."""
    return sum(int(getattr(stop, state)) for state in LOST)


def _marked(walk: Walk, before: Sequence[Walk]) -> Iterator[Reason]:
    """Marked rows counted again: never fewer cut, in the same part, with the same places."""
    last = {row_key(stop): (one.walked, stop) for one in before for stop in one.stops}
    told: set[str] = set()
    for k, stop in enumerate(walk.stops, 1):
        name = row_key(stop)
        if not name:
            continue
        if name in told:
            yield _ask(walk, "walk_row_twice", "stop", stop=k, row=stop.marked_row)
            continue
        told.add(name)
        if name in last:
            yield from _again(walk, k, stop, *last[name])


def _again(walk: Walk, k: int, stop: Stop, since: date, first: Stop) -> Iterator[Reason]:
    facts = {"stop": k, "row": stop.marked_row, "since": since}
    if stop.part != first.part:
        yield _ask(walk, "walk_row_moved", "stop", **facts, part=_short_id(stop.part), before=_short_id(first.part))
    if stop.places != first.places:
        yield _ask(walk, "walk_row_places", "", **facts, places=stop.places, before=first.places)
    if lost(stop) < lost(first):
        yield _ask(walk, "walk_row_fewer", "stop", **facts, cut=lost(stop), before=lost(first))


def _short_id(full: str) -> str:
    return full.rpartition("/")[2]


def _larvae(walk: Walk) -> Iterator[Reason]:
    found, searched = len(walk.larvae), walk.plants_searched
    if found and not searched:
        yield _ask(walk, "walk_not_searched", "number", found=found, searched=searched)
    elif searched and found > searched:
        yield _ask(walk, "walk_more_larvae", "", found=found, searched=searched)
    for code, odd in (("walk_larva_long", _long), ("walk_larva_short", _short)):
        sizes = tuple(larva.length_mm for larva in walk.larvae if odd(larva))
        if sizes:
            yield _ask(walk, code, "search", mm=sizes)
    for larva in walk.larvae:
        if larva.length_mm is not None and larva.instar is not None and not _fits(larva.length_mm, larva.instar):
            yield _ask(walk, "walk_larva_disagrees", "", mm=larva.length_mm, instar=larva.instar)


def _long(larva: Larva) -> bool:
    return larva.length_mm is not None and larva.length_mm > number("walk_checks", "larva_longest").value


def _short(larva: Larva) -> bool:
    """Shorter than one that has just hatched: half an inch typed as 0.5 is."""
    return larva.length_mm is not None and larva.length_mm < number("larva_lengths", "first_instar").value


def _fits(length_mm: float, instar: int) -> bool:
    """Whether a length lies between the middles of the instars on either side of the one told."""
    middle = {int(r["instar"]): (float(r["body_low_mm"]) + float(r["body_high_mm"])) / 2 for r in rows("larva_sizes")}
    low, high = middle.get(instar - 1, 0.0), middle.get(instar + 1, max(middle.values()))
    return low <= length_mm <= high


def _corn(walk: Walk, before: Sequence[Walk], known: Known) -> Iterator[Reason]:
    """The stage against the planting date and against what was seen before."""
    days, collars = known.days(walk.planting), walk.collars if walk.staging == "collars" else None
    if days and walk.walked < days[0]:
        if walk.stops or collars is not None:
            yield _ask(walk, "walk_before_planting", "corn", planted=days[0])
        return
    if collars is None:
        return
    if days and collars > (most := _most_collars((walk.walked - days[0]).days)):
        yield _ask(walk, "walk_collars_too_many", "collars", collars=collars, most=most, planted=days[0])
        return
    seen = [(one.collars, one.walked) for one in before if one.collars is not None and one.staging == "collars"]
    down = number("walk_checks", "collars_down").value
    older = [pair for pair in seen if pair[0] - collars >= down]
    if older:
        most_seen, since = max(older)
        yield _ask(walk, "walk_collars_down", "collars", collars=collars, before=most_seen, since=since)


def _most_collars(days: int) -> float:
    """Collars that the warmest days there are could make since planting, with room for how they are read."""
    clock, checks = numbers("corn_clock"), numbers("walk_checks")
    emergence, collar = clock["emergence"].low or 0.0, clock["collar_to_v10"].value
    heat = checks["heat_most"].value * days
    return max(0.0, (heat - emergence) / collar) + checks["collars_read"].value


def _same(one: str | None, other: str | None) -> bool:
    """Whether two walks may speak of the same planting; None speaks of all."""
    return None in (one, other) or one == other


def _replanted(first: Walk, later: Walk, known: Known) -> bool:
    """Whether corn was planted between two walks: the later one may have seen younger corn and other plants."""
    days = known.days(later.planting) or [day for day in known.planted.values() if day is not None]
    return any(first.walked < day <= later.walked for day in days)
