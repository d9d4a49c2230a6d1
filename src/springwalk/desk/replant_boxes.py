"""The boxes of the two forms of a replant: label, what stands in each, and what is wrong with it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from springwalk.desk.replant_forms import MORE, POLICY, stand_box
from springwalk.desk.walk_boxes import Box, Boxes
from springwalk.desk.walk_forms import Form
from springwalk.jobs.replant_ground import PartThere, ReplantGround
from springwalk.show import replant_page as said

GAPS = [("", "none"), ("some", "some, of 1–3 ft"), ("many", "many, of 4–6 ft")]


def question_boxes(form: Form, ground: ReplantGround) -> dict[str, Any]:
    """Boxes of the question by group, whether its fold-outs stand open, and all labels."""
    made = Boxes(form)
    undated = any(part.planted is None for part in ground.parts)
    planted = made.box("planted", "Planted on" if undated else "Planted on, if told wrong", mode="date")
    groups = {
        "needed": [
            *(_stand(made, part) for part in ground.parts), *([planted] if undated else []),
            made.box("cost", "Cost of replanting, US$ an acre", mode="decimal", most="12", hint=said.COST_HINT),
        ],
        "replant": _replant(made),
        "waits": [
            _amount(made, "kill", "Days to kill the old stand"), _amount(made, "label", "Label interval, days"),
            _amount(made, "queue", "Days until the planter comes"),
        ],
        "policy": _policy(made),
        "terms": _terms(made),
        "area": _area(made),
        "more": [
            _amount(made, "yield", "Full yield, bu an acre"), _amount(made, "price", "Price, US$ a bushel"),
            _amount(made, "drying", "Drying, US$ a bushel and point"),
            made.choice("gaps", "Gaps in the stand", GAPS), *([] if undated else [planted]),
        ],
        "ticks": [_tick(form, "old_stay", "The old plants stay"),
                  _tick(form, "rated", "The hybrid's need is rated from emergence")],
    }  # fmt: skip
    more = [name for name in MORE if not (undated and name == "planted")]
    return {**groups, "labels": made.labels, "open_policy": _any(form, POLICY), "open_more": _any(form, more)}


def replanted_boxes(form: Form, ground: ReplantGround) -> dict[str, Any]:
    """Boxes of what was replanted."""
    made = Boxes(form)
    today = ground.today.isoformat()
    form.sent.setdefault("r_date", today)
    boxes = [made.box("r_date", "Day it was replanted", mode="date", most=today)]
    if ground.zones:
        boxes.append(made.choice("r_zone", "Zone", [("", "all of the field"), *((z.id, z.name) for z in ground.zones)]))
    if len(ground.plantings) > 1:
        all_of = [("", "all of them"), *((one.id, one.name) for one in ground.plantings)]
        boxes.append(made.choice("r_planting", "Planting", all_of))
    boxes += [
        made.box("r_rate", "Seeds an acre", mode="decimal", most="20"), made.box("r_hybrid", "Hybrid", most="120"),
        made.box("r_torn", "Old stand out (blank: that day)", mode="date", most=today),
        made.box("r_person", "Who", most="80"),
    ]  # fmt: skip
    rest = bool(ground.zones) and any(not _in_zone(part.name, ground) for part in ground.parts)
    return {
        "done": boxes, "done_tick": _tick(form, "r_stay", "The old plants stay"), "done_labels": made.labels,
        "rest_hint": said.REST_HINT if rest else "",
    }  # fmt: skip


def _in_zone(name: str, ground: ReplantGround) -> bool:
    return any(name == zone.name or name.startswith(f"{zone.name}, ") for zone in ground.zones)


def _stand(made: Boxes, part: PartThere) -> Box:
    return made.box(stand_box(part), said.part_label(part), mode="decimal", hint=said.part_hint(part))


def _replant(made: Boxes) -> list[Box]:
    return [
        made.box("on", "Day wanted", mode="date"), _amount(made, "new_stand", "New plants an acre"),
        _amount(made, "seed", "Seed in the cost, US$"), _amount(made, "seed_paid", "Of the seed you pay, %"),
        _amount(made, "trip", "One trip, US$"),
        _amount(made, "need", "Hybrid's need, °F·day"),
    ]  # fmt: skip


def _policy(made: Boxes) -> list[Box]:
    return [
        _amount(made, "history", "Yield history, bu an acre"), _amount(made, "coverage", "Coverage, %"),
        _amount(made, "guarantee", "Guarantee, bu an acre"), _amount(made, "projected", "Projected price, US$ a bu"),
        _amount(made, "appraised", "Adjuster's appraisal, bu"), _amount(made, "share", "Your share of the crop, %"),
    ]  # fmt: skip


def _terms(made: Boxes) -> list[Box]:
    return [
        _amount(made, "paid_below", "Paid below, % of guarantee"), _amount(made, "most_bu", "Most bushels an acre"),
        _amount(made, "most_of", "Most, % of guarantee"),
    ]  # fmt: skip


def _area(made: Boxes) -> list[Box]:
    return [
        _amount(made, "acres", "From acres"), _amount(made, "acres_share", "From a share of the unit, %"),
        _amount(made, "unit", "Acres of the unit"),
    ]  # fmt: skip


def _amount(made: Boxes, name: str, label: str) -> Box:
    return made.box(name, label, mode="decimal", most="12")


def _tick(form: Form, name: str, label: str) -> dict[str, Any]:
    return {"name": name, "label": label, "chosen": bool(form.text(name))}


def _any(form: Form, names: Iterable[str]) -> bool:
    return any(form.text(name) or name in form.wrong for name in names)
