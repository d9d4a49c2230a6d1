"""A field that was walked, with larvae found, and recommendations made by hand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Any

from springwalk.jobs.chain import Around, HeldRecommendation, HeldStep, chain_of
from springwalk.jobs.recommended import Chain
from springwalk.jobs.rules import look_rules
from springwalk.jobs.terms import Terms, terms_of
from springwalk.jobs.typed import made
from springwalk.records import Field, Pass, Recommendation, Season, Step
from springwalk.store import Store, open_store
from tests.seasons import write_season
from tests.stores import season_store

MAY_24 = date(2016, 5, 24)
WALK = (
    "walk,field,date,person,staging,places,fresh_cut_at,collars,searched,larvae_mm\n"
    "w9,north,2016-05-23,Ann,collars,100,5,2,20,13 14 15\n"
)
"""5 of 100 plants cut at the surface, three larvae of half an inch: sprayed at the usual money."""
NORTH = Field(id="n", name="North", grower="Ann", outline={}, area_ha=30, latitude=40.7, longitude=-96.85)


def season_folder(tmp_path: Path, files: Mapping[str, str] | None = None) -> Path:
    """The small season with that walk."""
    return write_season(tmp_path / "farm", {"walks.csv": WALK, **(files or {})})


def walked(tmp_path: Path) -> Store:
    """A store that holds it."""
    season_folder(tmp_path)
    return open_store(season_store(tmp_path / "walked.db", {"walks.csv": WALK}, today=MAY_24))


def terms(**typed: float) -> Terms:
    """The usual money: 200 bushels at $4.50, $16 for a pass."""
    return terms_of(Season(name="s", year=2016), {"crop": 200, "price": 4.5, "own_pass": 16, **typed})


def advised(ident: str = "n:1", **more: Any) -> Recommendation:
    """A recommendation to spray on 25 May."""
    told = {"field": "n", "date": MAY_24, "said": "Spray.", "act_on": date(2016, 5, 25), **more}
    return made(Recommendation, id=ident, **told)


def step(what: str, day: int = 24, **more: Any) -> Step:
    """A step of it on a day of May."""
    told = {"who": "Ann"} if what == "told" else {"note": "no"} if what == "refused" else {}
    told = {"where": "row 40"} if what == "untreated strip" else told
    return made(Step, recommendation="n:1", field="n", date=date(2016, 5, day), what=what, **{**told, **more})


def sprayed(day: int, **more: Any) -> Pass:
    """An insecticide pass over the field."""
    return Pass(field="n", date=date(2016, 5, day), what="insecticide", **more)


def chain(
    *told: Step, passes: Sequence[Pass] = (), today: int = 24, newer: bool = False, **more: Any
) -> Chain:  # fmt: skip
    """The chain of that recommendation with some steps, on a day of May."""
    around = Around(
        field=NORTH, passes=passes, tied=frozenset(one.pass_key for one in told), newer=newer,
        today=date(2016, 5, today), rules=look_rules(),
    )  # fmt: skip
    steps = [HeldStep(f"e{at}", one) for at, one in enumerate(told)]
    return chain_of(HeldRecommendation("e", 1, advised(**more)), steps, around)
