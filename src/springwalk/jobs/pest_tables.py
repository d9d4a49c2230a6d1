"""Tables of stand pests as rows of our own: the pests, how each is counted, its rules and facts."""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache

from springwalk.engine.pests import Rule
from springwalk.errors import NotFound
from springwalk.tables import number, number_in, rows
from springwalk.units import MM_PER_IN

NOT_PLANTED, NOT_UP = -2, -1
"""Stages before the spike (0 collars) in the tables of pests."""
STATES = {
    "AL": "Alabama", "AR": "Arkansas", "DE": "Delaware", "GA": "Georgia", "IA": "Iowa", "IL": "Illinois",
    "IN": "Indiana", "KS": "Kansas", "KY": "Kentucky", "MD": "Maryland", "MI": "Michigan", "MN": "Minnesota",
    "MO": "Missouri", "MS": "Mississippi", "NC": "North Carolina", "ND": "North Dakota", "NE": "Nebraska",
    "NY": "New York", "OH": "Ohio", "PA": "Pennsylvania", "SC": "South Carolina", "SD": "South Dakota",
    "TN": "Tennessee", "VA": "Virginia", "WI": "Wisconsin",
}  # fmt: skip
UNIT_WORDS = {
    "bait": "bait station", "trap": "board", "shingle": "board", "seedling": "plant", "seed": "seed place",
    "skip": "seed place", "sq ft": "square foot", "ft2": "square foot", "ft²": "square foot", "cu ft": "cubic foot",
    "shovel": "shovelful", "sample": "8-inch square", "8 in square": "8-inch square",
}  # fmt: skip
_PLURALS = {"feet": "foot"}


@dataclass(frozen=True)
class Pest:
    """One pest; stages in leaf collars from NOT_PLANTED on; ``rescue`` is yes, no, bait or "" (nothing needed)."""

    name: str
    latin: str
    also: tuple[str, ...]
    from_collars: int
    to_collars: int
    clock: str
    favoured: tuple[str, ...]
    frame: str
    rescue: str
    mark: str
    source: str

    def at_risk(self, stage: int) -> bool:
        """Whether corn of this stage is at risk."""
        return self.from_collars <= stage <= self.to_collars


@dataclass(frozen=True)
class Sample:
    """One way to count a pest: unit, how many a spot and how many spots, at which stages; sides and depth in inches."""

    key: str
    pest: str
    from_collars: int
    to_collars: int
    unit: str
    many: str
    per_spot: int
    spots: int
    side_in: float | None
    depth_in: float | None
    hour: str
    how: str
    mark: str
    source: str

    @property
    def units(self) -> int:
        """Units in all."""
        return self.per_spot * self.spots

    def fits(self, stage: int) -> bool:
        """Whether it is a way to count at this stage."""
        return self.from_collars <= stage <= self.to_collars


@cache
def pests() -> dict[str, Pest]:
    """Every pest by name, in the order they are named on a sheet."""
    return {row["key"]: _pest(row) for row in rows("pests")}


@cache
def samples(pest: str) -> tuple[Sample, ...]:
    """The ways to count a pest, the usual one for a stage first."""
    return tuple(_sample(row) for row in rows("pest_samples") if row["pest"] == pest)


@cache
def rules(pest: str) -> tuple[Rule, ...]:
    """Every published rule of a pest, those that rest beside the verdict included."""
    return tuple(_rule(row) for row in rows("pest_rules") if row["pest"] == pest)


@cache
def rule_row(key: str) -> dict[str, str]:
    """The row of a rule, for its words, mark and source."""
    return next(row for row in rows("pest_rules") if row["key"] == key)


def clock(name: str) -> float:
    """A number of the table of clocks and windows, in its unit."""
    return number("pest_clocks", name).value


def find(name: str) -> Pest:
    """The pest of a name, a plural or another common name; raises NotFound with what was likely meant."""
    asked = " ".join(name.replace("_", " ").replace("-", " ").casefold().split())
    known = _names()
    # "stinkbugs" and "wire worms" are the same words with their blanks elsewhere.
    squeezed = {word.replace(" ", ""): ours for word, ours in known.items()}
    bare = asked.replace(" ", "")
    if bare in squeezed or bare.removesuffix("s") in squeezed:
        return pests()[squeezed.get(bare) or squeezed[bare.removesuffix("s")]]
    near = get_close_matches(asked, known, n=1, cutoff=0.7)
    meant = f"did you mean {known[near[0]]}? " if near else ""
    raise NotFound("pest", name, "no such pest here", f"{meant}use one of {', '.join(pests())}")


def state_name(state: str) -> str:
    """A state by its full name, whether two letters or the name was given; "" stays ""."""
    return STATES.get(state.strip().upper(), state.strip().title())


def unit_of(word: str) -> str:
    """A sampling unit in the singular of the tables (``plants`` → ``plant``); other words come back as they are."""
    told = " ".join(word.casefold().replace("_", " ").split())
    told = " ".join(_PLURALS.get(part, part) for part in told.split())
    for one in (told, told.removesuffix("s")):
        if one in UNIT_WORDS:
            return UNIT_WORDS[one]
    return told.removesuffix("s")


@cache
def _names() -> dict[str, str]:
    known = {}
    for pest in pests().values():
        for name in (pest.name, *pest.also):
            known[name.casefold().replace("-", " ")] = pest.name
    return known


def _pest(row: dict[str, str]) -> Pest:
    return Pest(
        row["key"], row["latin"], _list(row["also"]), int(row["from_collars"]), int(row["to_collars"]), row["clock"],
        _list(row["favoured"]), row["frame"], row["rescue"], row["mark"], row["source"],
    )  # fmt: skip


def _sample(row: dict[str, str]) -> Sample:
    return Sample(
        row["key"], row["pest"], int(row["from_collars"]), int(row["to_collars"]), row["unit"], row["many"],
        int(row["per_spot"]), int(row["spots"]), number_in(row["side_in"]), number_in(row["depth_in"]), row["hour"],
        row["how"], row["mark"], row["source"],
    )  # fmt: skip


def _rule(row: dict[str, str]) -> Rule:
    return Rule(
        key=row["key"],
        pest=row["pest"],
        unit=row["unit"],
        kind=row["kind"],  # type: ignore[arg-type]  # the table's test keeps the words
        states=_list(row["state"]),
        season=row["season"],
        from_collars=_whole(row["from_collars"]),
        to_collars=_whole(row["to_collars"]),
        of_units=_whole(row["of_units"]) or 1,
        over=row["over"] == "yes",
        low=number_in(row["low"]),
        high=number_in(row["high"]),
        share_low=_share(row["percent_low"]),
        share_high=_share(row["percent_high"]),
        of_two=row["of_two"] == "yes",
        live=bool(row["live"]),
        small_mm=_mm(row["small_in"]),
        large_mm=_mm(row["large_in"]),
        unseen=row["unseen"],
        standing=row["standing"],
        published=row["mark"] == "published",
    )


def _list(text: str) -> tuple[str, ...]:
    return tuple(text.split(";")) if text else ()


def _whole(text: str) -> int | None:
    return int(text) if text else None


def _share(text: str) -> float | None:
    return float(text) / 100.0 if text else None


def _mm(text: str) -> float | None:
    return float(text) * MM_PER_IN if text else None
