"""The page of a replant question in text by name: the answer, the money, what is counted and what is not, the form."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from springwalk.show import numbers as n, replant_words as w
from springwalk.show.facts import upper_first
from springwalk.tables import number

if TYPE_CHECKING:  # words need the shape of an answer, not what makes it
    from springwalk.jobs.replant_ground import PartThere, ReplantGround
    from springwalk.jobs.replant_said import PartReplant, ReplantSaid

NO_STAND = "Say how many plants an acre are left, for at least one part."
NO_COST = "Say what replanting costs an acre, with the seed at its full price."
COST_HINT = "All of it, with the seed at its full price."
NO_UNIT = "A share of the unit was typed: give the unit's acres too."
STAY_OR_OUT = "The old plants stay, so nothing was taken out: leave one of the two out."
OUT_TOO_LATE = "After the day it was replanted: correct one of the two."
TERMS_LEAD = (
    "Type these from the policy in hand: none of them is known here. Call the insurer before the stand is destroyed: a"
    " stand torn up before it is appraised may not be paid for."
)
AREA_HINT = "Where the policy pays only from an area on: from these acres, or from this share of the unit."
WAITS_HINT = "From the day the ground is dry, one after the other. Type the label's days from the label in hand."
AFTER_LEAD = (
    "Once it is done: the old stand is told torn up and the new planting kept, with one Undo. From then on the sheet"
    " follows the new corn."
)
REST_HINT = "The ground outside all zones can't be told alone here: give it a zone in zones.csv first."
NEVER_COUNTED = (
    "A treatment, tillage or hunger that would kill larvae.",
    "Uneven emergence, weeds, hail or flood to come, the next crop's date, and cut plants that grow again.",
)


def replant_page(said: ReplantSaid) -> dict[str, Any]:
    """All text of an answer, first what to do."""
    sources = dict.fromkeys(line.strip() for part in said.parts for line in w.source_lines(part.found))
    return {
        "insurer": w.INSURER_FIRST if said.insurer_first else "",
        "answer": upper_first(w.headline(said)),
        "call": "" if said.insurer_first else w.CALL_INSURER,
        "money": w.money_lines(said),
        "worked": w.worked_with(said),
        "parts": _parts(said),
        "not_judged": f"Not judged, no stand given: {', '.join(said.not_judged)}." if said.not_judged else "",
        "counted": _counted(said),
        "day": w.day_words(said.ready),
        "from": f"From today, {n.day(said.ready.today)}:",
        "pieces": [upper_first(piece) for piece in w.ready_pieces(said.ready)],
        "late": w.late_lines(said),
        "no_table": w.no_table(said) if said.no_table else "",
        "sources": list(sources),
        "not_counted": _not_counted(said),
        "cautions": w.CAUTIONS,
    }  # fmt: skip


def _parts(said: ReplantSaid) -> list[dict[str, Any]]:
    """Each part with its table; a note that another part had already is not said again."""
    noted: dict[str, None] = {}
    out = []
    for part in said.parts:
        notes = [note for note in part.found["notes"] if note not in noted]
        noted |= dict.fromkeys(notes)
        out.append(_part(part, notes))
    return out


def _part(part: PartReplant, notes: list[str]) -> dict[str, Any]:
    found = part.found
    more = [*w.seed_lines(found), *([w.insurance_line(found["insurance"])] if found["insurance"] else [])]
    return {
        "name": part.name,
        "title": f"{upper_first(part.name)}: {part.advice}" if part.name else "",
        "there": f"{upper_first(w.there_words(part))}. {upper_first(w.new_stand_words(part))}.",
        "rows": [_row(row) for row in found["tables"]],
        "more": [*(f"{upper_first(line)}." for line in more), *notes],
        "left_out": [f"{row['name']}: {row['why']}." for row in found["left_out"]],
    }


def _row(row: dict[str, Any]) -> dict[str, str]:
    """One stand table's line."""
    return {
        "name": row["name"],
        "now": n.percent(row["now_percent"]),
        "then": n.percent(row["replant_percent"]),
        "bu": n.number(row["gain_bu_ac"], "bu", decimals=1),
        "usd": n.number(row["gain_usd_ac"], "US$", decimals=0),
    }


def _counted(said: ReplantSaid) -> list[str]:
    """Larvae, frost and drying, as far as they are in the sums."""
    several = len(said.parts) > 1
    lines = []
    for part in said.parts:
        at = f"{upper_first(part.name)}: " if several else ""
        lines.append(f"{at}{w.larvae_line(part)}")
        if ripe := w.ripe_line(part):
            lines.append(f"{at}{ripe if at else upper_first(ripe)}.")
    if not w.frost_not_counted(said) and (past := w.past_frosts(said)):
        lines.append(past)
    if said.drying_usd_point_bu:
        usd = n.number(said.drying_usd_point_bu, "US$ a bushel and point of water", decimals=3)
        lines.append(f"Drying: {usd}, for what the later grain holds more at harvest.")
    return lines


def _not_counted(said: ReplantSaid) -> list[str]:
    """What is in no sum of this answer."""
    frost = w.frost_not_counted(said)
    lines = [f"{frost} {w.past_frosts(said)}".strip()] if frost else []
    if not said.drying_usd_point_bu:
        lines.append("Drying of the later grain: its price is not typed.")
    if not said.insurer_first:
        lines.append("What an insurer would pay: no terms are typed.")
    return [*lines, *NEVER_COUNTED]


def part_label(part: PartThere) -> str:
    """What a part's stand box asks: ``Low weedy corner: plants an acre``."""
    return f"{upper_first(part.name)}: plants left an acre" if part.name else "Plants left an acre"


def part_hint(part: PartThere) -> str:
    """Its acres and planting day."""
    planted = f"planted {n.day(part.planted)}" if part.planted else "nobody told when it was planted"
    return f"{n.area(part.area_ha)}, {planted}."


def no_planting_day(part: PartThere) -> str:
    """That a planting day has to be typed, and for which part."""
    return f"Nobody told when {part.name or 'this field'} was planted: give the day."


def blanks_words() -> str:
    """What a blank box of the main form stands for."""
    emergence = n.share(number("replant", "usual_emergence").value)
    best = n.number(number("replant", "best_stand").value, "", decimals=0)
    return (
        f"Left blank: the earliest real day; {emergence} of the seeding rate told, else {best} plants; seed at its full"
        " price; no trip. Frost is counted once the hybrid's need is typed."
    )


def terms_words() -> str:
    """The terms used where a policy's own are not typed."""
    below = n.share(number("replant", "appraised_below").value)
    most = n.number(number("replant", "most_bushels").value, "bushels", decimals=0)
    of = n.share(number("replant", "most_of_guarantee").value)
    return (
        f"Its own terms of a replant, if it states them. Blank: those of an old text ({below} of the guarantee, {most},"
        f" {of} of the guarantee), which your policy may not have."
    )


def money_words(ground: ReplantGround) -> str:
    """The yield and price in use where none is typed."""
    crop = n.number(ground.crop_bu_ac, "bushels", decimals=0)
    price = n.number(ground.price_usd_bu, "US$", decimals=2)
    return f"Left blank: {crop} an acre at {price}, no drying, no gaps beyond the stand, the day of planting told."
