"""The boxes of the forms for a walk: label, what stands in each, and what is wrong with it."""

from __future__ import annotations

from typing import Any

from springwalk.desk.walk_forms import Form, usual_places
from springwalk.jobs import typed_walk
from springwalk.jobs.params_stopping import stop_params
from springwalk.jobs.walk import WalkGround
from springwalk.show import walk_form_words as said
from springwalk.show.facts import upper_first

Box = dict[str, Any]
NOT_TOLD = ("", "not told")


class Boxes:
    """Makes boxes of a form, and remembers their labels for the list of slips."""

    def __init__(self, form: Form) -> None:
        self.form = form
        self.labels: dict[str, str] = {}

    def box(self, name: str, label: str, *, mode: str = "text", hint: str = "", front: str = "", most: str = "") -> Box:
        """A box to type in; ``front`` says in the list of slips which stop or row it is of."""
        self.labels[name] = f"{front}{label}"
        return {
            "name": name, "label": label, "value": self.form.sent.get(name, ""), "wrong": self.form.wrong.get(name, ""),
            "mode": mode, "hint": hint, "most": most,
        }  # fmt: skip

    def choice(self, name: str, label: str, options: list[tuple[str, str]], *, front: str = "") -> Box:
        """A list to choose from; what was chosen before and is offered no more is not kept."""
        made = self.box(name, label, front=front)
        chosen = self.form.text(name)
        made["options"] = [{"value": value, "words": words, "chosen": value == chosen} for value, words in options]
        return made

    def states(self, front: str, what: str) -> list[Box]:
        """A box for each plant state."""
        return [self.box(f"{front}{state}", label, mode="numeric", front=what) for state, label in said.STATES.items()]


def walk_boxes(form: Form, ground: WalkGround) -> dict[str, Any]:
    """Boxes of a whole walk: stops, search, corn, and whose it is."""
    made = Boxes(form)
    return {
        "stops": [_stop(made, k, ground) for k in range(1, form.stops + 1)],
        "search": [made.box("searched", "Plants searched", mode="numeric"), *_search(made)],
        "corn": [
            made.box("collars", "Leaf collars", hint=said.STAGE_HINT),
            made.choice("staging", "Counted as", [(key, words) for key, words in said.STAGINGS.items()]),
        ],
        "who": _who(made, ground),
        "labels": made.labels,
    }  # fmt: skip


def recount_boxes(form: Form, ground: WalkGround) -> dict[str, Any]:
    """Boxes of each marked row with its last count, the corn, and whose it is."""
    made = Boxes(form)
    rows = []
    for k, row in enumerate(ground.rows, 1):
        front, title = f"r{k}_", said.row_title(row, ground)
        form.sent.setdefault(f"{front}places", str(row.stop.places))
        places = made.box(f"{front}places", "Places", mode="numeric", front=f"{title}: ")
        rows.append({
            "id": f"row-{k}", "title": title, "last": said.row_counted(row),
            "boxes": [places, *made.states(front, f"{title}: ")],
        })  # fmt: skip
    corn = [made.box("collars", "Leaf collars", hint=said.STAGE_HINT)]
    return {"rows": rows, "corn": corn, "who": _who(made, ground, planting=False), "labels": made.labels}


def search_boxes(form: Form, ground: WalkGround) -> dict[str, Any]:
    """Boxes of a search alone: plants in batches, what was found, and whose it is."""
    made, params = Boxes(form), stop_params()
    batch, most = int(params.plants_per_search), params.most_searches
    told = [str(batch * k) for k in range(1, most + 1)] + ["50", "60", "80", "100"]
    chosen = form.text("searched")
    options = [("", "choose"), *((count, f"{count} plants") for count in told)]
    if chosen and chosen not in told:
        options.append((chosen, chosen))
    return {
        "search": [made.choice("searched", "Plants searched", options), *_search(made)],
        "who": _who(made, ground), "labels": made.labels,
    }  # fmt: skip


def summary(form: Form, labels: dict[str, str]) -> list[dict[str, str]]:
    """What is wrong, box by box in the order of the page, each with the box it leads to."""
    return [{"box": f"b-{name}", "words": f"{label}: {form.wrong[name]}"} for name, label in labels.items()
            if name in form.wrong]  # fmt: skip


def _stop(made: Boxes, k: int, ground: WalkGround) -> dict[str, Any]:
    front, title = f"s{k}_", f"Stop {k}"
    where = f"{title}: "
    made.form.sent.setdefault(f"{front}places", usual_places())
    zones = [("", "rest of field"), *((zone.id, zone.name) for zone in ground.zones)]
    return {
        "id": f"stop-{k}",
        "title": title,
        "places": made.box(f"{front}places", "Places looked at", mode="numeric", front=where),
        "zone": made.choice(f"{front}part", "Zone", zones, front=where) if ground.zones else None,
        "row": made.box(f"{front}row", "Marked row, if it is one", front=where, most="40"),
        "clean": {"name": f"{front}clean", "chosen": bool(made.form.text(f"{front}clean"))},
        "worst": {"name": f"{front}worst", "chosen": bool(made.form.text(f"{front}worst"))},
        "double": {"name": f"{front}double", "value": made.form.text(f"{front}double")},
        "states": made.states(front, where),
    }


def _search(made: Boxes) -> list[Box]:
    return [
        made.box("sizes", "Larvae found, by size", hint=said.SIZES_HINT),
        made.choice("hour", "Hour", [NOT_TOLD, *said.hours()]),
        made.choice("soil", "Soil", [NOT_TOLD, *((soil, soil) for soil in typed_walk.SOILS)]),
    ]


def _who(made: Boxes, ground: WalkGround, *, planting: bool = True) -> list[Box]:
    """Day, person, planting where there are several, note."""
    made.form.sent.setdefault("date", ground.today.isoformat())
    boxes = [
        made.box("date", "Day", mode="date", most=ground.today.isoformat()),
        made.box("person", "Who", most="80"),
    ]
    if planting and len(ground.plantings) > 1:
        offered = [("", "all of them"), *((one.id, upper_first(one.name)) for one in ground.plantings)]
        boxes.append(made.choice("planting", "Planting", offered))
    return [*boxes, made.box("note", "Note", mode="note")]
