"""Write the vectors that any copy of the field arithmetic must meet: kits with cases, stop tables, intervals.

Run ``python -m builders.vectors`` to rewrite tests/vectors, or add ``--to FOLDER``. Same seed, same bytes. Expected
numbers are the desk's own, with the stops taken in as a walk; a coarse grid keeps the files small. Farms are invented.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any
from unittest.mock import patch

import numpy as np

from springwalk.engine import belief as believing, sampling
from springwalk.engine.kit import advise_from_kit
from springwalk.jobs.advise import advise_of
from springwalk.jobs.kit import PartKit, field_kits_of, kit_form
from springwalk.jobs.stop_table import stop_table_of
from springwalk.jobs.stop_told import PartStops
from springwalk.jobs.terms import Hours, Terms
from springwalk.jobs.walks_seen import seen_stop
from springwalk.records import Walk
from springwalk.records.walks import Larva, Stop
from tests.jobs.made import FOUR, snapshot

OUT = Path(__file__).resolve().parent.parent / "tests" / "vectors"
SEED, CASES_A_KIT = 20160524, 12
COARSE = believing.make_grid(11, step_ddf=50.0)
DIGITS = 9
"""Figures of every number: fewer than machines differ in, more than any answer needs."""
ANSWERS = ("count on", "leave", "search and treat", "come back")
HOURS = Hours(20.0)
MONEY: dict[str, Any] = {"bushels": 200, "price": 4.5, "own_pass": 16, "product": 7, "visit": 10}


@dataclass(frozen=True)
class Morning:
    """A field on a morning, its terms, and the walks before."""

    field: str
    today: date
    terms: Terms
    walks: tuple[Walk, ...] = ()

    def with_walk(self, stops: Sequence[Stop] = ()) -> Any:
        """The snapshot, with today's stops taken in where there are any."""
        own = [Walk(id="today", field=self.field, walked=self.today, stops=tuple(stops))] if stops else []
        return snapshot([*FOUR, *self.walks, *own], self.today)


def _walk(field: str, day: date, *stops: Stop, **more: Any) -> Walk:
    return Walk(id=f"{field} {day}", field=field, walked=day, stops=stops, **more)


def _mornings() -> tuple[Morning, ...]:
    usual, riding = Terms.per_acre(**MONEY), Terms.per_acre(**MONEY, pass_in_days=4)
    leaves = [Stop(places=20, leaf_fed=2, sound=18), Stop(places=20, leaf_fed=1, sound=19), Stop(places=20, sound=20)]
    row = Stop(places=20, fresh_cut_at=1, sound=19, marked_row="flags by the gate")
    own = (
        _walk("killed-early", date(2016, 5, 22), *leaves),
        _walk("killed-early", date(2016, 5, 26), row, *leaves[1:], plants_searched=20, hour=20, soil="moist",
              larvae=(Larva(length_mm=15.0),)),
    )  # fmt: skip
    others = (
        _walk("at-planting", date(2016, 5, 27), *[Stop(places=20, fresh_cut_at=n, sound=20 - n) for n in (2, 0, 3)]),
        _walk("late", date(2016, 5, 27), *[Stop(places=25)] * 4),
    )
    return (
        Morning("at-planting", date(2016, 6, 2), usual),
        Morning("killed-early", date(2016, 5, 28), riding, (*own, *others)),
        Morning("late", date(2016, 6, 2), usual, others[:1]),
    )


@contextmanager
def coarse() -> Iterator[None]:
    """The desk's own paths on the coarse grid."""
    with patch.object(believing, "make_grid", lambda: COARSE):
        yield


def _desk(morning: Morning, stops: Sequence[Stop]) -> tuple[dict[tuple[str, int], float], float, float]:
    """What the desk loses by kind and days, and its mean load and chance of any larvae, with the stops as a walk."""
    kept: list[believing.Belief] = []
    real = believing.believe

    def believe(*told: Any) -> believing.Belief:
        kept.append(real(*told))
        return kept[-1]

    snap = morning.with_walk(stops)
    with coarse(), patch.object(believing, "believe", believe):
        said = advise_of(snap, morning.terms)
    (part,) = next(one for one in said if one.field == morning.field).parts
    lost = {(o.kind, (o.on - morning.today).days): o.lost_per_ha for o in part.options}
    place = [one.field for one in said].index(morning.field)
    return lost, float(kept[0].mean_load[place]), float(kept[0].any_larvae[place])


def _case(which: int, morning: Morning, part: PartKit, table: PartStops, stops: Sequence[Stop]) -> dict[str, Any]:
    kit, seen = part.kit, [seen_stop(stop) for stop in stops]
    said = advise_from_kit(kit, seen, heights=_heights(stops))
    used = [stop for at, stop in enumerate(stops) if at not in said.left_out]
    lost, load, some = _desk(morning, used or stops)
    names = [(act.kind, act.days) for act in kit.acts] + [("come back", later.days) for later in kit.later]
    expected = [lost[name] for name in names]
    return {
        "kit": which,
        "stops": [
            {"places": s.places, "cut_fresh": s.cut_fresh, "cut_old": s.cut_old, "leaf_fed": s.leaf_fed,
             "counted": s.counted, "marked_row": s.marked_row} for s in seen
        ],
        "heights": list(_heights(stops)),
        "expected": _short(expected),
        "best": int(np.argmin(expected)),
        "search_first": names[int(np.argmin(expected))][0] in ("spray", "ride along"),
        "mean_load": _short(load),
        "any_larvae": _short(some),
        "left_out": list(said.left_out),
        "along": _along(table, [(s.cut_fresh, s.cut_old) for s in seen])
        if all(s.places == table.places_per_stop and s.counted and s.sound for s in seen) else None,
    }  # fmt: skip


def _heights(stops: Sequence[Stop]) -> tuple[int, int, int]:
    """Today's fresh cuts above, at and below the surface, of counted stops."""
    counted = [stop for stop in stops if stop.counted]
    return (
        sum(s.fresh_cut_above for s in counted), sum(s.fresh_cut_at for s in counted),
        sum(s.fresh_cut_below for s in counted),
    )  # fmt: skip


def _along(table: PartStops, cuts: Sequence[tuple[int, int]]) -> list[str | None]:
    """The table's answer after each stop; None once it has ended or goes no further."""
    answers = {(s.stops, s.cut, s.stops_with): s.answer for s in table.table}
    out: list[str | None] = []
    x = j = 0
    for k, (fresh, old) in enumerate(cuts, start=1):
        cut = fresh if table.fresh_only else fresh + old
        x, j = x + cut, j + (cut > 0)
        going = not out or out[-1] == "count on"
        out.append(answers.get((k, min(x, table.most_cut), j)) if going else None)
    return out


def _told(rng: np.random.Generator, rate: float, *, usual: bool) -> Stop:
    """A stop with a few plants cut and leaf-fed, every plant looked at or not."""
    places = 20 if usual else int(rng.choice([10, 20, 25, 33, 50, 100]))
    cut = np.minimum(rng.poisson(rate * places / 100.0 * np.array([0.15, 0.6, 0.25, 0.5])), places // 5).tolist()
    leaf = int(min(rng.poisson(0.02 * places), places // 5))
    return Stop(
        places=places, fresh_cut_above=cut[0], fresh_cut_at=cut[1], fresh_cut_below=cut[2], old_cut=cut[3],
        leaf_fed=leaf if rng.random() < 0.5 else 0, sound=0 if rng.random() < 0.5 else None,
    )  # fmt: skip


def _walks(rng: np.random.Generator) -> list[list[Stop]]:
    """Today's walks: nothing sound, nothing found, what must be left out, one hot stop, and drawn ones."""
    slip = Stop(places=20, old_cut=15, leaf_fed=9)
    flags = Stop(places=20, old_cut=2, marked_row="flags by the gate")
    fresh_row, worst = Stop(places=20, old_cut=1, marked_row="new flags"), Stop(places=20, old_cut=18, counted=False)
    made = [
        [slip, Stop(places=20)],
        [Stop(places=20)] * 5,
        [fresh_row, flags, worst, slip, fresh_row, Stop(places=20, fresh_cut_at=1)],
    ]
    made.append([Stop(places=20, fresh_cut_at=11, old_cut=5), *[Stop(places=20, sound=20)] * 4])
    while len(made) < CASES_A_KIT:
        rate, usual = float(rng.choice([0.5, 3.0, 12.0])), len(made) % 2 == 0
        made.append([_told(rng, rate, usual=usual) for _ in range(int(rng.integers(1, 8)))])
    return made


def _table_form(morning: Morning, part: PartStops, rng: np.random.Generator) -> dict[str, Any]:
    """A stop table by state, and walks of cut places with the answer after each stop."""
    walks = [np.minimum(rng.poisson(rng.gamma(0.7, rate), 12), 20).tolist() for rate in (0.0, 0.2, 0.5, 1, 2, 4, 9)]
    return {
        "field": morning.field,
        "today": morning.today.isoformat(),
        "places_per_stop": part.places_per_stop,
        "most_cut": part.most_cut,
        "fresh_only": part.fresh_only,
        "answers": list(ANSWERS),
        "states": [[s.stops, s.cut, s.stops_with, ANSWERS.index(s.answer)] for s in part.table],
        "walks": [{"cut": cut, "answers": _along(part, [(n, 0) for n in cut])} for cut in walks],
    }


def _intervals() -> list[dict[str, Any]]:
    pairs = [(0, 20), (1, 20), (20, 20), (0, 100), (1, 100), (4, 100), (37, 100), (99, 100), (3, 160), (0, 1), (1, 1)]
    return [
        {"x": x, "n": n, "level": level, **{
            way.__name__: _short(list(way(x, n, level=level)))
            for way in (sampling.wilson, sampling.exact_interval, sampling.jeffreys)
        }} for x, n in pairs for level in (0.8, 0.95)
    ]  # fmt: skip


def _short(value: Any) -> Any:
    return [_short(one) for one in value] if isinstance(value, list) else float(f"{value:.{DIGITS}g}")


def build() -> dict[str, bytes]:
    """Every file by its name."""
    rng = np.random.default_rng(SEED)
    kits, cases, tables = [], [], []
    for which, morning in enumerate(_mornings()):
        snap = morning.with_walk()
        with coarse():
            (part,) = field_kits_of(snap, morning.field, morning.terms)
            (table,) = stop_table_of(snap, morning.field, morning.terms, HOURS).parts
        kits.append({"field": morning.field, "today": morning.today.isoformat(), **kit_form(part.kit, digits=DIGITS)})
        cases += [_case(which, morning, part, table, stops) for stops in _walks(rng)]
        tables.append(_table_form(morning, table, rng))
    return {
        "kits.json": _text("kits", kits),
        "kit_cases.json": _text("cases", cases),
        "stop_tables.json": _text("tables", tables),
        "intervals.json": _text("intervals", _intervals()),
    }


def _text(name: str, rows: Sequence[Any]) -> bytes:
    """JSON with one row a line."""
    lines = ",\n".join(json.dumps(row, ensure_ascii=False, separators=(",", ":"), allow_nan=False) for row in rows)
    return f'{{"version":1,"{name}":[\n{lines}\n]}}\n'.encode()


def main() -> None:
    """Write the files."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--to", type=Path, default=OUT, help="folder to write (default: tests/vectors)")
    folder: Path = parser.parse_args().to
    folder.mkdir(parents=True, exist_ok=True)
    for name, content in build().items():
        (folder / name).write_bytes(content)
        print(f"{name}: {len(content):,} bytes")


if __name__ == "__main__":
    main()
