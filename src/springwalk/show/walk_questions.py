"""What is asked about a walk that can't be right as told: what is odd, what was left out, what to correct."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from springwalk.show import numbers as n
from springwalk.show.facts import Facts, Say, day_of

if TYPE_CHECKING:  # words need the shape of a question, not what makes it
    from springwalk.jobs.results import Reason

TYPED = "typed-"
"""How the id of a walk begins that was typed here and not taken in from a file."""
LEFT_OUT = {
    "stop": "That stop is left out of the advice until it is corrected.",
    "search": "The search is left out of the advice until it is corrected; the other larvae count by their size.",
    "collars": "The stage is left out until it is corrected; planting date and heat stand in.",
    "corn": "Its stops and stage are left out of the advice until it is corrected.",
    "number": "Their sizes count, how many there were does not.",
    "": "It is used as told.",
}
"""What an odd thing did to the advice, by the fact ``left_out``."""


def _plants(count: int) -> str:
    return n.count(count, "plant", words=False)


def _sizes(facts: Facts) -> str:
    told = facts["mm"] if isinstance(facts["mm"], list | tuple) else (facts["mm"],)
    return f"{', '.join(n.number(float(mm), '') for mm in told)} mm"


def _row(facts: Facts) -> str:
    return f"marked row {facts['row']}"


def _not_searched(facts: Facts) -> str:
    round_none = "round no plant" if facts.get("searched") == 0 else "but nobody told round how many plants"
    found = n.count(int(facts["found"]), "larva was", "larvae were")
    return f"{found} found, {round_none}: how many were searched?"


def _stop(facts: Facts) -> str:
    return _row(facts) if facts.get("row") else f"stop {facts['stop']}"


def _stage(value: float) -> str:
    return n.collars(float(value))


ODD: dict[str, Say] = {
    "walk_more_than_places": lambda f: (
        f"{_stop(f)} tells {_plants(f['seen'])} in {n.count(f['places'], 'place', words=False)}:"
        " which of the two is right?"
    ),
    "walk_row_twice": lambda f: f"{_row(f)} is told twice in one walk: which count is the right one?",
    "walk_row_moved": lambda f: (
        f"{_row(f)} stood in {f['before'] or 'no zone'} on {n.day(day_of(f['since']))} and is told in"
        f" {f['part'] or 'no zone'} now: is it the same row?"
    ),
    "walk_row_places": lambda f: (
        f"{_row(f)} had {n.count(f['before'], 'place', words=False)} on {n.day(day_of(f['since']))} and has"
        f" {n.count(f['places'], 'place', words=False)} now: were the same plants counted?"
    ),
    "walk_row_fewer": lambda f: (
        f"{_row(f)} had {_plants(f['before'])} cut or gone on {n.day(day_of(f['since']))} and has {_plants(f['cut'])}"
        " now. A cut plant does not come back whole: were the same plants counted, and those regrown told as regrown?"
    ),
    "walk_not_searched": _not_searched,
    "walk_more_larvae": lambda f: (
        f"{n.count(f['found'], 'larva', 'larvae', words=False)} round only {_plants(f['searched'])} searched: are both"
        " right?"
    ),
    "walk_larva_long": lambda f: (
        f"a larva of {_sizes(f)} is longer than any cutworm: was another unit meant, or is it another animal?"
    ),
    "walk_larva_short": lambda f: (
        f"a larva of {_sizes(f)} is shorter than one just hatched: were inches meant? Then write them like 0.5in."
    ),
    "walk_larva_disagrees": lambda f: (
        f"a larva of {_sizes(f)} is told as instar {f['instar']}, which is of another length: which is right?"
    ),
    "walk_before_planting": lambda f: (
        f"it is dated before {n.day(day_of(f['planted']))}, when the corn was planted: is the date right, or the"
        " planting date?"
    ),
    "walk_collars_too_many": lambda f: (
        f"{_stage(f['collars'])} can't be there yet on corn planted {n.day(day_of(f['planted']))}: were leaves counted,"
        " or is a date wrong?"
    ),
    "walk_collars_down": lambda f: (
        f"{_stage(f['collars'])} are fewer than the {_stage(f['before'])} of {n.day(day_of(f['since']))}: which is"
        " right?"
    ),
}  # fmt: skip
"""What is odd, as the end of a sentence, by the question's code."""


def question(reason: Reason) -> str:
    """A question in full: ``Walk of 17 May: stop 2 tells 25 plants in 20 places: which …``, and what was left out."""
    made = ODD[reason.code]
    odd = made if isinstance(made, str) else made(reason.facts)
    return f"Walk of {n.day(day_of(reason.facts['date']))}: {odd} {LEFT_OUT[str(reason.facts['left_out'])]}"


def question_lines(questions: Iterable[Reason]) -> list[str]:
    """Questions one a line, and after those of each walk how it is corrected."""
    return [line for walk, lines in _by_walk(questions).items() for line in (*lines, how_to_correct(walk))]


def asked_by_walk(questions: Iterable[Reason]) -> list[dict[str, Any]]:
    """Questions of each walk for a page: ``lines``, ``how`` it is corrected, and the id to ``correct`` if typed."""
    return [
        {"lines": lines, "how": how_to_correct(walk), "correct": walk if walk.startswith(TYPED) else ""}
        for walk, lines in _by_walk(questions).items()
    ]


def _by_walk(questions: Iterable[Reason]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for one in questions:
        found.setdefault(str(one.facts["walk"]), []).append(question(one))
    return found


def how_to_correct(walk: str) -> str:
    """How a walk is told right: typed ones by their id, others in the file they came from."""
    if walk.startswith(TYPED):
        return f"To correct it tell the walk again with: springwalk walk … --correct {walk}"
    return f"To correct it change walk {walk} in walks.csv and take the folder in again."
