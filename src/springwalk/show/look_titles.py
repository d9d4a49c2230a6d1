"""The name of each look, and how it is said in the sheet's first sentence: in one field, and in several."""

from __future__ import annotations

from typing import NamedTuple

from springwalk.jobs.results import Look, Row


class Title(NamedTuple):
    """``title`` heads the look; ``do`` says it as a thing to do, in one field; ``many`` in several ("" = the same)."""

    title: str
    do: str
    many: str = ""


TITLES: dict[str, Title] = {
    "dig_cold": Title("Dig for cold-soaked seed", "dig for cold-soaked seed"),
    "dig_cold_again": Title("Dig again: no spike yet?", "dig again where no spike is up"),
    "spike_check": Title("Is it up?", "see whether the corn is up"),
    "crust": Title("Will it break the crust?", "dig under the crust"),
    "stand_count": Title("Count the stand", "count the stand", "count stands"),
    "ponding": Title("After standing water", "look again after standing water"),
    "frost": Title("After frost", "look for new growth after frost"),
    "hail": Title("After hail", "look again after hail"),
    "wind": Title("After wind", "look again after wind"),
    "root_dig": Title("Dig roots at V3–V4", "dig roots"),
    "green_bridge": Title("Cover killed late", "look at cover killed late"),
    "recheck": Title("After the treatment", "check the treatment", "check treatments"),
    "promise": Title("Promised visit", "make the promised visit", "make promised visits"),
    "baits": Title("Read the bait stations", "read the bait stations", "read bait stations"),
    "maggot": Title("Dig the skips: seedcorn maggot", "dig the skips for seedcorn maggot"),
    "pest_more": Title("Count more: {name}", "count more {name}"),
    "pest_act": Title("At its threshold: {name}", "see to {name} at its threshold"),
}

CUTWORM = Title("Walk for cutworm", "walk for cutworm")


def title(look: Look) -> str:
    """The look's name: ``Count the stand``."""
    return _of(look.code).title.format(name=_name(look))


def do(look: Look, *, several: bool = False) -> str:
    """The look as a thing to do: ``count the stand``, in several fields ``count stands``."""
    known = _of(look.code)
    return (known.many if several and known.many else known.do).format(name=_name(look))


def key_title(key: str) -> str:
    """A look's name where only its key is known: code, field, planting, day, and the pest where it is of one."""
    code, *parts = key.split(":")
    return _of(code).title.format(name=parts[3] if len(parts) > 3 else "a pest")


def do_code(code: str) -> str:
    """A look as a thing to do where only its code is known."""
    return _of(code).do.format(name="a pest")


def where(look: Look, row: Row) -> str:
    """The zone or planting a look is of, where the field has more than one; else ""."""
    if look.zone:
        return look.zone.split("/")[-1]
    plantings = {part.planting for part in row.parts}
    return f"planting {look.planting.split('/')[-1]}" if look.planting and len(plantings) > 1 else ""


def _of(code: str) -> Title:
    """The titles of a code; one not known here is said in plain words."""
    plain = code.replace("_", " ")
    return TITLES.get(code, Title(plain[:1].upper() + plain[1:], f"look: {plain}"))


def _name(look: Look) -> str:
    """The pest a look is of, from its first reason."""
    return str(look.why[0].facts.get("name", "a pest")) if look.why else "a pest"
