"""A step of a recommendation's chain in words: who was told and how, what was answered, ordered, done and found."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, time

from springwalk.show import numbers as n
from springwalk.show.facts import Facts, day_of

HOW = {"phone": "by phone", "text": "by text", "in person": "in person", "letter": "by letter"}
STEPS = {
    "told": "Told", "taken": "Takes it", "refused": "Does not take it", "ordered": "Ordered", "done": "Done",
    "checked": "Checked", "untreated strip": "Untreated strip", "worth it": "Worth it", "not worth it": "Not worth it",
}  # fmt: skip
"""A step as its button names it."""


def step_text(facts: Facts) -> str:
    """A step in one phrase: ``Told Ann by phone on 24 May``; the facts are the record's."""
    return _SAY[str(facts["what"])](facts)


def step_line(facts: Facts) -> str:
    """The same as a sentence, with the note that was typed: ``Refused by Ann on 24 May: no sprayer to be had.``"""
    note = str(facts.get("note") or "").strip()
    told = f"{step_text(facts)}: {note}" if note else step_text(facts)
    return told if told.endswith((".", "!", "?")) else f"{told}."


def _on(facts: Facts) -> str:
    """`` on 24 May``, with its time where that was told."""
    at = facts.get("at")
    hour = f", {time.fromisoformat(at) if isinstance(at, str) else at:%H:%M}" if at else ""
    return f" on {n.day(day_of(facts['date']))}{hour}"


def _by(facts: Facts, word: str = "by") -> str:
    return f" {word} {facts['who']}" if facts.get("who") else ""


def _told(facts: Facts) -> str:
    how = f" {HOW[str(facts['how'])]}" if facts.get("how") else ""
    return f"Told {facts.get('who') or 'somebody'}{how}{_on(facts)}"


def _answer(word: str) -> Callable[[Facts], str]:
    return lambda facts: f"{word}{_by(facts)}{_on(facts)}"


def _ordered(facts: Facts) -> str:
    wanted: date | str | None = facts.get("wanted_on")
    when = f", for {n.day(day_of(wanted))}" if wanted else ""
    return f"Ordered{_by(facts, 'from')}{_on(facts)}{when}"


def _done(facts: Facts) -> str:
    where = f", {facts['where']}" if facts.get("where") else ""
    return f"Done{_by(facts)}{_on(facts)}{where}"


def _checked(facts: Facts) -> str:
    where = f", {facts['where']}" if facts.get("where") else ""
    return f"Checked{_by(facts)}{_on(facts)}{where}{_found(facts, 'cut again')}"


def _strip(facts: Facts) -> str:
    return f"Untreated strip at {facts['where']}, noted{_on(facts)}{_found(facts, 'cut')}"


def _found(facts: Facts, cut: str) -> str:
    """What was seen: `` (2 % of 100 plants cut again, no larvae)``."""
    seen: list[str] = []
    if facts.get("cut_again_pct") is not None:
        value = float(facts["cut_again_pct"])
        share = n.number(value, "%", basis="observed", decimals=0 if value.is_integer() else 1)
        places = facts.get("places")
        of = n.count(int(places), "plant", words=False) if places else "the plants"
        seen.append(f"{share} of {of} {cut}")
    if facts.get("larvae") is not None:
        seen.append(f"{n.count(int(facts['larvae']), 'live larva', 'live larvae')}")
    return f" ({', '.join(seen)})" if seen else ""


_SAY: dict[str, Callable[[Facts], str]] = {
    "told": _told, "taken": _answer("Taken"), "refused": _answer("Refused"), "ordered": _ordered, "done": _done,
    "checked": _checked, "untreated strip": _strip, "worth it": _answer("Worth it, said"),
    "not worth it": _answer("Not worth it, said"),
}  # fmt: skip
