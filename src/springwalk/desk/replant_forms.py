"""The two forms of a replant: the question read box by box, and what was replanted; each slip beside its box."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

from springwalk.desk.walk_forms import WHOLE, Form
from springwalk.errors import BadValue, SpringwalkError
from springwalk.intake import UnreadableError, cells, shown
from springwalk.jobs import typed
from springwalk.jobs.replant import GAPS
from springwalk.jobs.replant_field import Asked
from springwalk.jobs.replant_ground import PartThere, ReplantGround
from springwalk.jobs.replant_policy import Policy
from springwalk.jobs.replanted import Replant, rate
from springwalk.show.replant_page import NO_COST, NO_STAND, NO_UNIT, OUT_TOO_LATE, STAY_OR_OUT, no_planting_day

AMOUNTS: dict[str, tuple[float, float]] = {
    "new_stand": (1, 100_000), "cost": (0, 5000), "trip": (0, 100_000), "seed": (0, 5000), "need": (500, 5000),
    "kill": (0, 120), "label": (0, 120), "queue": (0, 120), "yield": (1, 1000), "price": (0.01, 100), "drying": (0, 1),
    "guarantee": (1, 1000), "history": (1, 1000), "projected": (0.01, 100), "appraised": (0, 1000),
    "most_bu": (0.1, 1000), "acres": (0, 100_000), "unit": (0.1, 1_000_000),
}  # fmt: skip
"""Boxes that hold an amount, with the least and the most of each in its own unit."""
SHARES: dict[str, float] = {
    "seed_paid": 0.0, "coverage": 1.0, "share": 1.0, "paid_below": 1.0, "most_of": 1.0, "acres_share": 0.0,
}  # fmt: skip
"""Boxes that hold a share, with the least percent of each."""
POLICY = {
    "history": "history_bu_ac", "coverage": "coverage", "projected": "projected_price_usd_bu",
    "guarantee": "guarantee_bu_ac", "appraised": "appraised_bu_ac", "share": "share", "paid_below": "appraised_below",
    "most_bu": "most_bu_ac", "most_of": "most_of_guarantee", "acres": "least_acres", "acres_share": "least_share",
    "unit": "unit_acres",
}  # fmt: skip
"""Boxes of a policy → its terms."""
MORE = ("yield", "price", "drying", "gaps", "planted", "old_stay", "rated")
"""Boxes of the second fold-out."""
BOX_OF = {
    "kill days": "kill", "label days": "label", "queue days": "queue", "replant-on": "on",
    "planted … replant-on": "on", "replant-stand": "new_stand", "seed-share-paid": "seed_paid",
    "drying-usd-point-bu": "drying", "hybrid-need": "need", "projected-price": "projected",
    "projected_price": "projected", "appraised_below": "paid_below", "most_yield": "most_bu",
    "most_of_guarantee": "most_of", "date": "r_date", "torn-up": "r_torn", "zone": "r_zone", "planting": "r_planting",
    "rate": "r_rate", "hybrid": "r_hybrid", "person": "r_person",
}  # fmt: skip
"""Names in refusals → boxes, where they differ."""


def refuse(form: Form, error: SpringwalkError, boxes: dict[str, str]) -> None:
    """Note a refusal beside its box where the page has it, else with the whole; a day beside the box it stands in."""
    box = BOX_OF.get(error.name, error.name)
    if box == "r_date" and form.text("r_torn") == str(error.value):
        box = "r_torn"
    form.refuse(box if box in boxes else WHOLE, error)


def read_asked(form: Form, ground: ReplantGround) -> tuple[Asked, Policy | None] | None:
    """The question of a filled-in form; None where something is wrong or missing, which is then noted in the form."""
    stands = _stands(form, ground)
    amounts = {name: form.read(name, _amount(*ends)) for name, ends in AMOUNTS.items()}
    shares = {name: form.read(name, _share(least)) for name, least in SHARES.items()}
    if not form.text("cost"):
        form.wrong.setdefault("cost", NO_COST)
    policy = _policy(form, {**amounts, **shares})
    asked = Asked(
        stands=stands, cost_usd_ac=amounts["cost"], planted=form.read("planted", _day_of(ground)),
        replant_on=form.read("on", _day_of(ground)), replant_stand=amounts["new_stand"],
        yield_bu_ac=amounts["yield"], price_usd_bu=amounts["price"], trip_usd=amounts["trip"] or 0.0,
        kill_days=amounts["kill"], label_days=amounts["label"], queue_days=amounts["queue"],
        hybrid_need=amounts["need"], also=_also(form, amounts, shares),
    )  # fmt: skip
    return None if form.wrong else (asked, policy)


def read_replanted(form: Form, ground: ReplantGround) -> Replant | None:
    """What was replanted; None where something is wrong, which is then noted in the form."""
    on = form.read("r_date", typed.day) or ground.today
    torn = form.read("r_torn", lambda text: typed.day(text, name="torn-up"))
    seeds = form.read("r_rate", rate)
    stay = bool(form.text("r_stay"))
    if stay and torn is not None:
        form.wrong.setdefault("r_torn", STAY_OR_OUT)
    if torn is not None and torn > on:
        form.wrong.setdefault("r_torn", OUT_TOO_LATE)
    if form.wrong:
        return None
    return Replant(
        field=ground.field, on=on, torn_up=None if stay else torn or on, zone=form.text("r_zone"),
        planting=form.text("r_planting"), seeds_per_ha=seeds, hybrid=form.text("r_hybrid"),
        person=form.text("r_person"),
    )  # fmt: skip


def stand_box(part: PartThere) -> str:
    """The name of a part's box: of the part, not of its place, so that an address keeps its meaning."""
    return "-".join(["stand", *part.key.split()])


def _stands(form: Form, ground: ReplantGround) -> dict[str, float]:
    """Stands by part; what is missing or has no planting day is noted."""
    boxes = {stand_box(part): part for part in ground.parts}
    told = {name: form.read(name, _amount(0, 100_000)) for name in boxes}
    if not any(form.text(name) for name in boxes):
        form.wrong.setdefault(next(iter(boxes)), NO_STAND)
    undated = next((part for name, part in boxes.items() if form.text(name) and part.planted is None), None)
    if undated is not None and not form.text("planted"):
        form.wrong.setdefault("planted", no_planting_day(undated))
    return {boxes[name].key: stand for name, stand in told.items() if stand is not None}


def _also(form: Form, amounts: dict[str, float | None], shares: dict[str, float | None]) -> dict[str, Any]:
    """What holds for every part; a box left blank leaves the usual."""
    paid = shares["seed_paid"]
    gaps = form.read("gaps", lambda text: typed.one_of(text, GAPS, name="gaps")) or "none"
    return {
        "gaps": gaps, "seed_usd_ac": amounts["seed"] or 0.0, "seed_share_paid": 1.0 if paid is None else paid,
        "drying_usd_point_bu": amounts["drying"] or 0.0, "rated_from_emergence": bool(form.text("rated")),
        "old_removed": not form.text("old_stay"),
    }  # fmt: skip


def _policy(form: Form, told: dict[str, float | None]) -> Policy | None:
    """The policy where any of it was typed and reads well; what it lacks is noted."""
    terms: dict[str, Any] = {POLICY[name]: told[name] for name in POLICY if told[name] is not None}
    if not terms or any(name in form.wrong for name in POLICY):
        return None
    if form.text("acres_share") and not form.text("unit"):
        form.wrong["unit"] = NO_UNIT
    needed = {name: terms.pop(name, None) for name in ("history_bu_ac", "coverage", "projected_price_usd_bu")}
    try:
        return Policy(**needed, **terms)
    except BadValue as error:
        form.refuse(BOX_OF.get(error.name, error.name), error)
        return None


def _amount(low: float, high: float) -> Callable[[str], float]:
    """A reader of a plain number between two ends."""

    def read(text: str) -> float:
        try:
            value = cells.number(text.removeprefix("$"))
            cells.within(value, low, high)
        except UnreadableError as error:
            raise BadValue("amount", shown(text), error.rule, error.todo) from None
        return value

    return read


def _share(least_percent: float) -> Callable[[str], float]:
    """A reader of a share: ``80 %``, ``80`` and ``0.8`` are the same."""

    def read(text: str) -> float:
        told = text.removesuffix("%").strip()
        try:
            value = cells.number(told)
            percent = value if text.endswith("%") or value > 1.0 else 100.0 * value
            cells.within(percent, least_percent, 100.0)
        except UnreadableError as error:
            raise BadValue("share", shown(text), error.rule, f"{error.todo}, in percent") from None
        return percent / 100.0

    return read


def _day_of(ground: ReplantGround) -> Callable[[str], date | None]:
    """A reader of a day of the season's year."""

    def read(text: str) -> date | None:
        told = typed.day(text)
        if told is not None and told.year != ground.today.year:
            year = f"{ground.today:%Y}"
            raise BadValue("day", told, f"not a day of {year}", "correct the year")
        return told

    return read
