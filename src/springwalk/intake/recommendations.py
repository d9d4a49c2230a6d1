"""recommendations.csv and recommendation_steps.csv: what was advised, as it was said, and what became of it."""

from __future__ import annotations

import json
from collections.abc import Iterable
from datetime import date
from typing import get_args

from springwalk.intake import cells, work_cells
from springwalk.intake.cells import UnreadableError
from springwalk.intake.faults import did_you_mean
from springwalk.intake.ids import Ids, settle
from springwalk.intake.money import MONEY_KEYS
from springwalk.intake.rows import Row, make
from springwalk.intake.tables import Columns
from springwalk.records import Recommendation, Step
from springwalk.records.advice import How, StepKind, misplaced

LONGEST_ID = 200
RECOMMENDATION_COLUMNS = Columns(
    ("id", "field", "date", "said"),
    (
        "parts", "text", "treats", "act_on", *MONEY_KEYS, "days_to_sprayer", "visit", "pass_in", "assumed", "engine",
        "settings", "shown", "person", "note",
    ),
)  # fmt: skip
STEP_COLUMNS = Columns(
    ("recommendation", "date", "step"),
    ("field", "at", "who", "how", "for", "where", "pass", "cut_again", "places", "larvae", "person", "note"),
)
_COLUMN_OF = {"wanted_on": "for", "pass_key": "pass", "cut_again_pct": "cut_again"}
"""Parts of a step whose column is called otherwise."""


def read_recommendations(rows: Iterable[Row], ids: Ids) -> list[Recommendation]:
    """recommendations.csv; each becomes known to the steps."""
    found = [(row, one) for row in rows if (one := _recommendation(row, ids)) is not None]
    kept = [one for _, one in settle(found, "id", lambda one: one.natural_key())]
    ids.recommendations |= {one.id: one for one in kept}
    return kept


def _recommendation(row: Row, ids: Ids) -> Recommendation | None:
    field = ids.field(row)
    money = {name: row.number(key, low, high) for key, (name, low, high) in MONEY_KEYS.items()}
    treats = row.choice("treats", ("yes", "no"))
    values = {
        "id": row.read("id", _name, needed=True),
        "date": row.day("date", needed=True),
        "said": row.read("said", cells.lines, needed=True),
        "parts": tuple(_lines(row.note_text("parts"))),
        "text": row.note_text("text"),
        "treats": treats != "no",
        "act_on": row.coming_day("act_on"),
        **money,
        "days_to_sprayer": row.whole("days_to_sprayer", 0, 14),
        "visit_usd": row.number("visit", 0, 999_999),
        "pass_in_days": row.whole("pass_in", 0, 365),
        "assumed": tuple(one.strip() for one in row.text("assumed").split(";") if one.strip()),
        "engine_version": row.text("engine"),
        "settings_hash": row.text("settings"),
        "shown": row.read("shown", _answer) or "",
        "person": row.text("person"),
        "note": row.note_text(),
    }
    return None if row.bad or field is None else make(row, Recommendation, field=field, **values)


def _name(text: str) -> str:
    """The id of a recommendation: one line, without the mark that parts an address."""
    text = cells.one_line(text)
    if "/" in text:
        raise UnreadableError("an id can't hold '/'", "use '-' instead")
    if len(text) > LONGEST_ID:
        raise UnreadableError(f"an id has at most {LONGEST_ID} characters", "write a shorter one")
    return text


def _lines(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if line.strip()]


def _answer(text: str) -> str:
    """The exact text of an answer; only its form is looked at."""
    text = cells.one_line(text)
    try:
        held = json.loads(text)
    except (ValueError, RecursionError):
        held = None
    if not isinstance(held, dict):
        raise UnreadableError("not the JSON text of an answer", "leave it as it was exported, or blank it")
    return text


def read_steps(rows: Iterable[Row], ids: Ids) -> list[Step]:
    """recommendation_steps.csv: steps of recommendations that are in this folder or in the store."""
    found = [(row, one) for row in rows if (one := _step(row, ids)) is not None]
    return [one for _, one in settle(found, "step", lambda one: one.natural_key())]


def _step(row: Row, ids: Ids) -> Step | None:
    meant = _meant(row, ids)
    on = row.day("date", needed=True)
    field = ids.field(row) if row.values.get("field", "").strip() else None
    values = {
        "what": row.choice("step", get_args(StepKind), needed=True),
        "at": row.read("at", work_cells.clock),
        "who": row.text("who"),
        "how": row.choice("how", get_args(How)),
        "wanted_on": row.coming_day("for"),
        "where": row.text("where"),
        "pass_key": row.text("pass"),
        "cut_again_pct": row.number("cut_again", 0, 100),
        "places": row.whole("places", 1, 100_000),
        "larvae": row.whole("larvae", 0, 100_000),
        "person": row.text("person"),
        "note": row.note_text(),
    }
    if row.bad or row.shifted or meant is None or on is None:
        return None
    if field is not None and field != meant.field:
        row.refuse("field", f"the recommendation is for field {meant.field!r}", "correct one of the two")
        return None
    made = make(row, Step, recommendation=meant.id, field=meant.field, date=on, **values)
    return made if made is not None and _sound(row, made, meant.date) else None


def _meant(row: Row, ids: Ids) -> Recommendation | None:
    """The recommendation a row speaks of."""
    text = row.read("recommendation", cells.one_line, needed=True)
    if text is None or text in ids.recommendations:
        return ids.recommendations.get(text or "")
    hint = did_you_mean(text, ids.recommendations)
    todo = f"{hint}? Correct it" if hint.startswith("did") else "add it to recommendations.csv"
    row.refuse("recommendation", "no recommendation has this id", todo)
    return None


def _sound(row: Row, made: Step, advised: date) -> bool:
    """Whether the step can be so; what can't is refused."""
    wrong = misplaced(made)
    if wrong is not None:
        name, rule, todo = wrong
        row.refuse(_COLUMN_OF.get(name, name), rule, todo)
    elif made.date < advised:
        row.refuse("date", f"before the recommendation ({advised})", "correct one of the two dates")
    return not row.bad
