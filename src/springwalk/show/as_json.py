"""The sheet and the field as JSON-ready values: data with its units, and the words beside it.

Names carry their unit (``area_ha``, ``cut_next_7_per_100``) or sit beside a ``unit`` key (heat). Dates are ISO text.
The same result gives the same bytes.
"""

from __future__ import annotations

import json
import math
from datetime import date
from typing import TYPE_CHECKING, Any, Literal

from springwalk.jobs.results import FieldPage, Look, Reason, Row, Sheet
from springwalk.show import caution, field_words, rest_words, words
from springwalk.show.advice_words import advice_lines
from springwalk.show.day_words import day_text
from springwalk.show.look_text import basis, look_text, today_words
from springwalk.show.reasons import say
from springwalk.show.walk_questions import question
from springwalk.units import DDF_PER_DDC

if TYPE_CHECKING:
    from springwalk.jobs.advised import AfterTreatment, FieldAdvice
    from springwalk.jobs.day_said import Day

HeatUnit = Literal["°F·day", "°C·day"]
_DIGITS = 6


def _rounded(value: float) -> float | None:
    """Six significant digits; a missing value (NaN or infinite) is null."""
    return float(f"{value:.{_DIGITS}g}") if math.isfinite(value) else None


def _clean(value: Any, unit: HeatUnit) -> Any:
    """Round floats, and give each ``heat_ddc`` as ``heat`` with its ``unit``."""
    if isinstance(value, float):
        return _rounded(value)
    if isinstance(value, list | tuple):
        return [_clean(item, unit) for item in value]
    if not isinstance(value, dict):
        return value
    made: dict[str, Any] = {}
    for key, item in value.items():
        if key == "heat_ddc":
            factor = DDF_PER_DDC if unit == "°F·day" else 1.0
            made["heat"] = None if item is None else _rounded(item * factor)
            made["unit"] = unit
        else:
            made[str(key)] = _clean(item, unit)
    return made


def _reasons(reasons: tuple[Reason, ...], unit: HeatUnit) -> list[dict[str, Any]]:
    """Reasons with their sentence beside code and facts, facts in order of name."""
    made = []
    for reason in reasons:
        facts = _clean(reason.model_dump(mode="json")["facts"], unit)
        made.append({"code": reason.code, "facts": dict(sorted(facts.items())), "words": say(reason)})
    return made


def look_values(look: Look, row: Row, unit: HeatUnit = "°F·day") -> dict[str, Any]:
    """One look: its data, its reasons with words, and its words."""
    made: dict[str, Any] = _clean(look.model_dump(mode="json"), unit)
    for name in ("why", "look_for", "can_do", "not_yet"):
        made[name] = _reasons(getattr(look, name), unit)
    made["words"] = {**look_text(look, row), "basis": basis(look)}
    return made


def _row(row: Row, today: date, unit: HeatUnit) -> dict[str, Any]:
    """One row: its data, reasons with words, and its words."""
    made: dict[str, Any] = _clean(row.model_dump(mode="json"), unit)
    made["why"] = _reasons(row.why, unit)
    made["look_for"] = _reasons(row.look_for, unit)
    for part, told in zip(made["parts"], row.parts, strict=True):
        part["reasons"] = _reasons(told.reasons, unit)
    made["looks"] = [look_values(look, row, unit) for look in row.looks]
    made["also"] = _reasons(row.also, unit)
    made["too_wet"] = _reasons((row.too_wet,), unit)[0] if row.too_wet else None
    made["words"] = {
        "why": rest_words.why(row),
        "now": words.now(row),
        "look_for": words.look_for(row),
        "stake": f"{words.stake(row)}, {words.stake_label(row)}",
        "next_look": rest_words.next_look(row, today),
        "today": today_words(row),
    }
    return made


def sheet(result: Sheet, day: Day | None = None, *, heat_unit: HeatUnit = "°F·day") -> dict[str, Any]:
    """The morning sheet as JSON-ready values, in the order of the result; ``words`` come first.

    Where the day was planned it stands under ``day``, with words of its own.
    """
    made: dict[str, Any] = _clean(result.model_dump(mode="json"), heat_unit)
    made["rows"] = [_row(row, result.today, heat_unit) for row in result.rows]
    made["rest"] = [_row(row, result.today, heat_unit) for row in result.rest]
    made["notes"] = _reasons(result.notes, heat_unit)
    made["weather"]["gaps"] = _reasons(result.weather.gaps, heat_unit)
    said = {"headline": str(words.headline(result)), "lead": words.lead(result), "caution": caution.SHORT}
    if day is not None:
        made["day"] = day_values(day)
    return {"words": said, **made}


def day_values(day: Day) -> dict[str, Any]:
    """The day's plan as JSON-ready values; outlines are left to the map."""
    told = day.model_dump(mode="json", exclude={"outlines", "kept_out"})
    kept = [row.field for row in day.kept_out]
    return {"words": day_text(day), **_clean(told, "°F·day"), "kept_out": kept}


def field(
    page: FieldPage,
    advice: FieldAdvice | None = None,
    after: AfterTreatment | None = None,
    *,
    heat_unit: HeatUnit = "°F·day",
) -> dict[str, Any]:
    """One field's page as JSON-ready values, in the order of the result; ``words`` come first."""
    made: dict[str, Any] = _clean(page.model_dump(mode="json"), heat_unit)
    made["row"] = _row(page.row, page.sheet_today, heat_unit)
    made["events"] = _reasons(page.events, heat_unit)
    made["weather"]["gaps"] = _reasons(page.weather.gaps, heat_unit)
    for told, one in zip(made["questions"], page.questions, strict=True):
        told["words"] = question(one)
    made["sources"] = [{"what": what, "mark": mark, "source": source} for what, mark, source in page.sources]
    lines = [{"label": line.label, "words": str(line.words)} for line in field_words.five_lines(page, advice, after)]
    if advice is not None:
        made["advice"] = {**_clean(advice.model_dump(mode="json"), heat_unit), "words": list(advice_lines(advice))}
    said = {"headline": field_words.field_headline(page, advice), "lines": lines, "cautions": list(caution.USUAL)}
    return {"words": said, **made}


def dumps(data: dict[str, Any]) -> str:
    """The JSON text of what :func:`sheet` or :func:`field` gave, ending in a newline."""
    return json.dumps(data, ensure_ascii=False, indent=2, allow_nan=False) + "\n"
