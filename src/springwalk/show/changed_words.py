"""What a walk changed, in plain words."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from springwalk.show import numbers as n
from springwalk.show.facts import odds, upper_first
from springwalk.units import DDF_PER_DDC

if TYPE_CHECKING:
    from springwalk.jobs.changed import Changed, Moved

MOST = 6
LEAST_SHIFT_DDF = 3.0
OTHER_SURE = 0.5
OTHER = "The larvae found are likely not of this flight; what follows speaks of this flight only."


def changed_text(changed: Changed) -> dict[str, Any]:
    """Title, the season in a line, and the fields that moved most: its own first, then those nobody walked."""
    shift = changed.brood_later_ddc * DDF_PER_DDC
    season = ""
    if abs(shift) >= LEAST_SHIFT_DDF:
        heat = n.heat(abs(changed.brood_later_ddc), basis="assumption")
        season = f"The whole brood is now reckoned {heat} {'later' if shift > 0 else 'earlier'} than before this walk."
    if changed.other_origin > OTHER_SURE:
        season = f"{season} {OTHER}".strip()
    unwalked = [one for one in changed.others if not one.walked]
    walked = [one for one in changed.others if one.walked]
    groups = [("This field", [changed.own]), ("Fields nobody walked", unwalked), ("Fields walked before", walked)]
    return {
        "title": f"What the walk of {n.day(changed.walked)} changed",
        "season": season,
        "groups": [{"name": name, "rows": [_moved(one) for one in rows[:MOST]]} for name, rows in groups if rows],
        "rest": _rest(changed, len(unwalked[:MOST]) + len(walked[:MOST])),
    }


def changed_lines(changed: Changed) -> tuple[str, ...]:
    """The same as lines of text."""
    said = changed_text(changed)
    lines = [f"{said['title']}:", *([said["season"]] if said["season"] else [])]
    for group in said["groups"]:
        lines += [f"{group['name']}: {row['name']}, {row['words']}" for row in group["rows"]]
    return (*lines, *([said["rest"]] if said["rest"] else []))


def _rest(changed: Changed, named: int) -> str:
    unnamed = len(changed.others) - named
    if not changed.others:
        return "No other field moved by enough to say."
    more = [f"{n.count(unnamed, 'more field')} moved by less"] if unnamed else []
    still = [f"{n.count(changed.unmoved, 'other field')} by too little to say"] if changed.unmoved else []
    return upper_first("; ".join([*more, *still])) + "." if more or still else ""


def _moved(one: Moved) -> dict[str, str]:
    before = n.number(one.before_per_100.mid, "", decimals=1 if one.before_per_100.mid >= 0.995 else 2)
    after = n.estimate(one.after_per_100, "larvae per 100 plants", basis="assumption")
    return {
        "name": one.name,
        "words": f"{after}, {before} before; any at all in {odds(one.any_after)}, {odds(one.any_before)} before.",
    }
