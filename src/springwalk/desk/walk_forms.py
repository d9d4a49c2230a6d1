"""Forms for a walk: what was typed, read box by box, each slip kept beside its box; and a walk as what was typed."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any, TypeVar

from springwalk.errors import BadValue, SpringwalkError
from springwalk.jobs import typed, typed_walk
from springwalk.jobs.export_said import plain
from springwalk.jobs.params_stopping import count_params
from springwalk.jobs.walk import UNNAMED, MarkedRow, WalkGround
from springwalk.records import Stop, Walk
from springwalk.show import walk_form_words as said
from springwalk.show.facts import upper_first

T = TypeVar("T")
MOST_STOPS = 40
"""Up to here a form takes more stops; a walk that came with more is shown, and kept, whole."""
MOST_COUNT, MOST_SEARCHED = 2000, 100_000
_PLACES = re.compile(r"s\d{1,6}_places")
WHOLE = ""
"""Under this name stands what is wrong with a form as a whole."""
BOX_OF = {"walked": "date", "larva": "sizes", "plants_searched": "searched", "length_mm": "sizes"}
"""Names in refusals → boxes, where they differ."""


class Form:
    """What was sent: texts by box, and what is wrong with each."""

    def __init__(self, sent: Mapping[str, str]) -> None:
        """Take what was sent."""
        self.sent = {name: text.replace("\r\n", "\n") for name, text in sent.items()}
        self.wrong: dict[str, str] = {}

    def text(self, name: str) -> str:
        """What stands in a box, without blanks around it; "" for an empty one."""
        return self.sent.get(name, "").strip()

    def read(self, name: str, reader: Callable[[str], T]) -> T | None:
        """What a reader makes of a box; None for an empty one and for what it refuses, which is noted."""
        text = self.text(name)
        try:
            return reader(text) if text else None
        except BadValue as error:
            self.refuse(name, error)
            return None

    def count(self, name: str, most: int = MOST_COUNT) -> int | None:
        """A whole number from 0 up to ``most``; None for an empty box."""
        return self.read(name, lambda text: typed_walk.count(text, most=most))

    def refuse(self, box: str, error: SpringwalkError) -> None:
        """Note what is wrong with a box; where it is no box of a form, with the whole."""
        told = f"{error.rule}; {error.todo}." if box else str(error)
        self.wrong.setdefault(box, upper_first(told))

    @property
    def stops(self) -> int:
        """How many stops the form has: never more than are offered, or were sent with their boxes."""
        told = self.text("stops")
        if not told.isdecimal():
            return 1
        sent = sum(bool(_PLACES.fullmatch(name)) for name in self.sent)
        return min(max(int(told[:6]), 1), max(MOST_STOPS, sent))


def more_stops(form: Form, many: int) -> None:
    """Add stops to a form, each in the zone of the one before."""
    now = form.stops
    then = max(now, min(now + many, MOST_STOPS))
    for k in range(now + 1, then + 1):
        form.sent[f"s{k}_part"] = form.sent.get(f"s{k - 1}_part", "")
    form.sent["stops"] = str(then)


def read_walk(form: Form, ground: WalkGround) -> Walk | None:
    """The walk of a filled-in form; None where something is wrong, which is then noted in the form."""
    fronts = [f"s{k}_" for k in range(1, form.stops + 1)]
    stops = tuple(stop for front in fronts if (stop := _stop(form, front, ground)) is not None)
    _ask_of_untold(form, fronts)
    collars = form.read("collars", typed_walk.collars)
    walk = _made(form, ground, stops=stops, collars=None if collars is None else collars[0], **_search(form))
    if walk is not None and not (stops or walk.larvae or walk.plants_searched is not None or collars or walk.note):
        form.wrong[WHOLE] = said.NOTHING_TOLD
    return None if form.wrong else walk


def read_search(form: Form, ground: WalkGround) -> Walk | None:
    """The search for larvae of a filled-in form; None where something is wrong, which is then noted in the form."""
    walk = _made(form, ground, **_search(form))
    if not form.text("searched"):
        form.wrong.setdefault("searched", said.NO_SEARCH_TOLD)
    return None if form.wrong else walk


def read_recount(form: Form, ground: WalkGround) -> list[Walk]:
    """The walks of a filled-in recount, one for each planting; none where something is wrong, noted in the form."""
    by_planting: dict[str | None, list[Stop]] = {}
    for k, row in enumerate(ground.rows, 1):
        if (stop := _again(form, f"r{k}_", row)) is not None:
            by_planting.setdefault(row.planting, []).append(stop)
    collars = form.read("collars", typed_walk.collars)
    made = [
        _made(form, ground, planting=planting, stops=tuple(stops), collars=None if collars is None else collars[0])
        for planting, stops in by_planting.items()
    ]
    if not by_planting and not form.wrong:
        form.wrong[WHOLE] = said.NO_ROW_TOLD
    return [] if form.wrong else [walk for walk in made if walk is not None]


def _made(form: Form, ground: WalkGround, **told: Any) -> Walk | None:
    """The walk of what was told and of the boxes that every form has: day, who, planting, note."""
    planting = form.text("planting") if "planting" not in told else told.pop("planting")
    staging = form.text("staging") or "collars"
    day = form.read("date", typed.day) or ground.today
    if form.wrong:
        return None
    try:
        return typed.made(
            Walk, id=UNNAMED, field=ground.field, walked=day, person=form.text("person"), note=form.text("note"),
            planting=planting or None, staging=typed.one_of(staging, typed_walk.STAGINGS, name="staging"), **told,
        )  # fmt: skip
    except BadValue as error:
        form.refuse(BOX_OF.get(error.name, error.name), error)
        return None


def _search(form: Form) -> dict[str, Any]:
    """Plants searched, larvae, hour and soil."""
    return {
        "plants_searched": form.count("searched", MOST_SEARCHED),
        "larvae": form.read("sizes", typed_walk.larvae) or (),
        "hour": form.count("hour", 23),
        "soil": form.read("soil", lambda text: typed.one_of(text, typed_walk.SOILS, name="soil")),
    }


def _counts(form: Form, front: str) -> dict[str, int]:
    """The boxes of plant states that were filled in."""
    told = {state: form.count(f"{front}{state}") for state in (*said.STATES, "double")}
    return {state: count for state, count in told.items() if count is not None}


def _stop(form: Form, front: str, ground: WalkGround) -> Stop | None:
    """One stop; None for one of which nothing is told, and where something is wrong."""
    counts = _counts(form, front)
    places = form.count(f"{front}places")
    row = form.read(f"{front}row", typed_walk.row_name) or ""
    part = form.text(f"{front}part")
    if not _told(form, front):
        return None
    if form.text(f"{front}clean") and any(counts.get(state) for state in said.FOUND):
        form.wrong.setdefault(f"{front}places", said.CLEAN_YET_FOUND)
    if not places and f"{front}places" not in form.wrong:
        form.wrong[f"{front}places"] = said.NO_PLACES
    if part and part not in {zone.id for zone in ground.zones}:
        form.wrong.setdefault(f"{front}part", "Not a zone of this field; choose another.")
    if any(name.startswith(front) for name in form.wrong):
        return None
    worst = bool(form.text(f"{front}worst"))
    return Stop(places=places or 1, part=part, marked_row=row, counted=not worst, **counts)


def _told(form: Form, front: str) -> bool:
    """Whether anything is told of a stop: the number of places that stands there before anybody typed is nothing."""
    typed_in = any(form.text(f"{front}{name}") for name in (*said.STATES, "row", "clean"))
    return typed_in or form.text(f"{front}places") not in ("", usual_places())


def _ask_of_untold(form: Form, fronts: Sequence[str]) -> None:
    """Ask about a stop that stands beside told ones as it was offered: a clean stop and one not made look alike."""
    any_told = any(_told(form, front) for front in fronts)
    for front in fronts:
        if (any_told or form.text(f"{front}worst")) and form.text(f"{front}places") and not _told(form, front):
            form.wrong.setdefault(f"{front}places", said.CLEAN_OR_NOT_MADE)


def usual_places() -> str:
    """The places of a usual stop, which stand in each stop before anybody typed."""
    return str(count_params().places)


def _again(form: Form, front: str, row: MarkedRow) -> Stop | None:
    """A marked row counted again; None where none of its boxes was filled in, and where something is wrong."""
    counts = _counts(form, front)
    places = form.count(f"{front}places")
    if any(name.startswith(front) for name in form.wrong):
        return None
    if not counts:
        return None
    last = row.stop
    return Stop(places=places or last.places, part=last.part, marked_row=row.name, counted=last.counted, **counts)


def as_typed(walk: Walk) -> dict[str, str]:
    """A kept walk as the boxes of its form, to be corrected."""
    boxes = {
        "date": walk.walked.isoformat(), "person": walk.person, "note": walk.note, "planting": walk.planting or "",
        "collars": plain(walk.collars), "staging": walk.staging,
        "searched": _text(walk.plants_searched), "hour": _text(walk.hour), "soil": walk.soil or "",
        "sizes": " ".join(f"instar {x.instar}" if x.length_mm is None else plain(x.length_mm) for x in walk.larvae),
        "stops": str(max(len(walk.stops), 1)),
    }  # fmt: skip
    for k, stop in enumerate(walk.stops, 1):
        front = f"s{k}_"
        boxes |= {f"{front}{state}": _text(getattr(stop, state) or None) for state in (*said.STATES, "double")}
        boxes |= {f"{front}places": str(stop.places), f"{front}part": stop.part, f"{front}row": stop.marked_row}
        found = any(getattr(stop, state) for state in said.FOUND)
        boxes[f"{front}clean"] = "" if found else "yes"
        boxes |= {f"{front}worst": "" if stop.counted else "yes", f"{front}sound": _text(stop.sound)}
    return boxes


def _text(value: int | None) -> str:
    return "" if value is None else str(value)
