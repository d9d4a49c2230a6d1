"""What was advised and what became of it: a recommendation as it was shown, and each step of its chain."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import ClassVar, Literal

from pydantic import Field as Value

from springwalk.records.base import Record

How = Literal["phone", "text", "in person", "letter"]
StepKind = Literal[
    "told", "taken", "refused", "ordered", "done", "checked", "untreated strip", "worth it", "not worth it",
]  # fmt: skip
"""What can become of a recommendation, in the order it usually goes."""

ANSWERS = ("taken", "refused")
WORTH = ("worth it", "not worth it")
FOUND = ("checked", "untreated strip")
"""Steps that tell what was found after a treatment: at the same flags, and where none was put."""

GOES_WITH: Mapping[str, tuple[str, ...]] = {
    "how": ("told",), "wanted_on": ("ordered",), "pass_key": ("done",), "where": ("done", *FOUND),
    "cut_again_pct": FOUND, "places": FOUND, "larvae": FOUND,
}  # fmt: skip
"""Parts of a step that only some steps have."""


class Recommendation(Record):
    """What was advised for a field on a day, exactly as it was shown.

    ``parts`` is the advice of each part of the field in a sentence, ``said`` the words shown, ``text`` the lines
    for the grower, ``shown`` the exact JSON text of the answer ("" = not computed). ``treats``: something is to be
    done to the field, so that it is answered, ordered, done and checked; ``act_on`` is the first day it is to be done.
    Then what it was reckoned with, as in ``Money``, and what another visit and a pass that goes anyway meant;
    ``assumed`` names what of it nobody had typed.
    """

    kind: ClassVar[str] = "recommendation"
    id: str = Value(min_length=1)
    field: str
    date: datetime.date
    said: str = Value(min_length=1)
    parts: tuple[str, ...] = ()
    text: str = ""
    treats: bool = True
    act_on: datetime.date | None = None
    crop_bu_ac: float | None = Value(default=None, gt=0, le=500)
    price_usd_bu: float | None = Value(default=None, gt=0, le=100)
    pass_usd_ac: float | None = Value(default=None, gt=0, le=500)
    product_usd_ac: float | None = Value(default=None, ge=0, le=500)
    wage_usd_h: float | None = Value(default=None, ge=0, le=1000)
    days_to_sprayer: int | None = Value(default=None, ge=0, le=14)
    visit_usd: float | None = Value(default=None, ge=0, lt=1e6)
    pass_in_days: int | None = Value(default=None, ge=0, le=365)
    assumed: tuple[str, ...] = ()
    engine_version: str = ""
    settings_hash: str = ""
    shown: str = ""
    person: str = ""
    note: str = ""


class Step(Record):
    """One step of a recommendation's chain, on a local day (``at``: the time, None = not told).

    ``who`` was told, answered, was ordered from, did it or checked; ``wanted_on`` is the day it was ordered for;
    ``pass_key`` the natural key of the pass that did it. ``cut_again_pct`` is per cent of the ``places`` looked at
    that were cut since (at the same flags, or in the strip), ``larvae`` how many live ones were found.
    """

    kind: ClassVar[str] = "recommendation step"
    recommendation: str = Value(min_length=1)
    field: str = ""
    date: datetime.date
    what: StepKind
    at: datetime.time | None = None
    who: str = ""
    how: How | None = None
    wanted_on: datetime.date | None = None
    where: str = ""
    pass_key: str = ""
    cut_again_pct: float | None = Value(default=None, ge=0, le=100)
    places: int | None = Value(default=None, ge=1, le=100_000)
    larvae: int | None = Value(default=None, ge=0, le=100_000)
    person: str = ""
    note: str = ""

    def natural_key(self) -> str:
        """One telling a day, way and person; one answer a day and person; one verdict; else one a day and place."""
        on, who, where = self.date, _same(self.who), _same(self.where)
        slot = {
            "told": f"{on}:told:{self.how or ''}:{who}",
            "ordered": f"{on}:ordered:{who}",
            **dict.fromkeys(ANSWERS, f"{on}:answer:{who}"),
            **dict.fromkeys(WORTH, "worth"),
        }.get(self.what, f"{on}:{self.what}:{where}")
        return f"recommendation step:{self.recommendation}:{slot}"


def misplaced(step: Step) -> tuple[str, str, str] | None:
    """The first part of a step that it can't have or lacks: the part, the rule and what to do. None = a sound step."""
    for name, steps in GOES_WITH.items():
        if step.what not in steps and getattr(step, name) not in (None, ""):
            return name, f"goes with {' or '.join(steps)} only", "leave it out"
    if step.what == "told" and not step.who.strip():
        return "who", "nobody is named", "say who was told"
    if step.what == "refused" and not step.note.strip():
        return "note", "a refusal is kept with its reason", "say why in a few words"
    if step.what == "untreated strip" and not step.where.strip():
        return "where", "a strip is found again by its place", "say where it was left"
    if step.what == "checked" and step.cut_again_pct is None and not step.note.strip():
        return "cut_again_pct", "nothing is said of what was found", "give the per cent cut again, or a note"
    return None


def _same(text: str) -> str:
    """A name or place as it counts in a key: typed in another case it is the same one."""
    return " ".join(text.split()).casefold()
