"""Recommendations and their chains in words: where each stands, what is waited for and by when, what is missing."""

from __future__ import annotations

import shlex
import textwrap
from typing import Any

from springwalk.jobs.recommended import Chain, Recommendations, Saying
from springwalk.records import Recommendation
from springwalk.show import numbers as n
from springwalk.show.advice_words import advice_lines
from springwalk.show.as_json import dumps
from springwalk.show.caution import USUAL
from springwalk.show.facts import upper_first
from springwalk.show.grower_text import grower_text, part_answers
from springwalk.show.step_words import step_line

SAYING = Saying(lines=advice_lines, parts=part_answers, text=grower_text, cautions=USUAL)
"""How advice is put into words when it is kept."""
NONE = "No recommendation is kept yet. The advice of a field that was walked lately is kept as one when you say so."
NO_ADVICE = (
    "No advice to keep today: no walk of the last week speaks of this field, or it was treated since, or its corn is"
    " past the stage at risk."
)
KEPT = (
    "What was said is kept as it was shown, with its money and odds. Each step is told once: told, taken or refused,"
    " ordered, done, checked."
)
STATES = {
    "not told": "Not told yet",
    "told, no answer": "Told, no answer yet",
    "taken, not ordered": "Taken, not ordered yet",
    "ordered, not done": "Ordered, not done yet",
    "done, not checked": "Done, not checked yet",
    "closed": "Closed",
    "replaced": "Never told; a newer one is there",
}
MARKS = {
    "not told": "Nobody is noted as told.",
    "done before told": "It was done before anybody is noted as told.",
    "done after refused": "It was done though it was refused.",
    "refused and ordered on one day": "Refused and ordered on one day: tell the time of each, or take one back.",
    "no pass": "No pass is tied to it: note the pass with its entry interval, or nobody is kept out of the field.",
    "pass not held": "The pass it is tied to is not noted here any more.",
    "no strip": "No untreated strip is noted: what the treatment was worth can't be shown without one.",
    "checked too early": "Checked {on}, {before}? If not, tell the check again with its time, or take it back.",
    "two versions": "Two versions of it are held; the newest is shown.",
}
ASSUMED = {
    "crop": "the yield", "price": "the price", "own_pass": "the cost of a pass", "product": "the cost of the product",
    "wage": "the wage", "days_to_sprayer": "the days to the sprayer",
}  # fmt: skip
COMMAND = {"told": "told --to NAME --how phone", "answer": "taken", "worth": "worth-it"}
WIDTH = 100


def headline(found: Recommendations) -> str:
    """The list in one sentence: ``Tuesday 24 May: two recommendations open, one late``."""
    opened = [chain for chain in found.chains if chain.open]
    late = sum(chain.late for chain in opened)
    over = f", {n.count(late, 'late', 'late')}" if late else ""
    told = f"{n.count(len(opened), 'recommendation')} open{over}"
    return f"{n.weekday(found.today)}: {told}" if found.today else upper_first(told)


def title(chain: Chain) -> str:
    """What was advised, in short: ``24 May: Spray on 25 May, in the evening.``"""
    record = chain.recommendation
    first = record.said.splitlines()[0]
    return f"{n.day(record.date)}: {' '.join(record.parts) or first}"


def state(chain: Chain) -> str:
    """Where it stands: ``Told, no answer yet``."""
    return STATES[chain.state]


def next_words(chain: Chain) -> str:
    """What is waited for and by when; "" where nothing is."""
    who, by = chain.to or "the grower", f" by {n.day(chain.by)}" if chain.by else ""
    told = {
        "told": f"Tell {who}{by}.",
        "answer": f"Wait for the answer of {who}, taken or refused{f',{by}' if by else ''}.",
        "ordered": f"Order it, to be done{by}.",
        "done": f"To be done{by}; note the pass and its entry interval then.",
        "checked": "",
        "worth": "Say whether it was worth it.",
        "": "",
    }[chain.next]
    if chain.next == "checked" and chain.opens and chain.by:
        told = f"Count the same flags again {n.span(chain.opens, chain.by)}, and the untreated strip."
    return f"{told} That day is over." if chain.late else told


def marks(chain: Chain) -> list[str]:
    """What a reader has to know besides the steps."""
    return [MARKS[mark].format(**_early(chain)) for mark in chain.marks]


def _early(chain: Chain) -> dict[str, str]:
    """When a check was made too early, and what it came before."""
    if chain.early is None:
        return {}
    opens = chain.early.opens
    held = "while the field was held because no entry interval of its pass is typed"
    before = f"before the field opened on {n.day(opens.date())}, {opens:%H:%M}" if opens else held
    return {"on": f"on {n.day(chain.early.on)}", "before": before}


def step_lines(chain: Chain) -> list[str]:
    """The steps as sentences, in order."""
    return [step_line(step.model_dump()) for step in chain.steps]


def money_words(record: Recommendation) -> str:
    """What it was reckoned with, and what of it nobody had typed; "" where no money was told."""
    told = [
        f"{n.number(record.crop_bu_ac, 'bushels an acre')}" if record.crop_bu_ac is not None else "",
        f"{_dollars(record.price_usd_bu)} a bushel" if record.price_usd_bu is not None else "",
        f"{_dollars(record.pass_usd_ac)} an acre for a pass" if record.pass_usd_ac is not None else "",
        f"{_dollars(record.product_usd_ac)} an acre for the product alone" if record.product_usd_ac is not None else "",
        f"{n.count(record.days_to_sprayer, 'day')} to the sprayer" if record.days_to_sprayer is not None else "",
    ]
    said = ", ".join(text for text in told if text)
    assumed = ", ".join(ASSUMED.get(name, name) for name in record.assumed)
    if not said:
        return ""
    return f"Reckoned with {said}.{f' Assumed, not typed: {assumed}.' if assumed else ''}"


def _dollars(value: float) -> str:
    return f"${value:,.2f}"


def made_by(record: Recommendation) -> str:
    """Who kept it and what made it, for the record: person, engine version and settings hash."""
    who = f"Kept by {record.person}. " if record.person else ""
    made = f"Engine {record.engine_version}, settings {record.settings_hash}." if record.engine_version else ""
    return f"{who}{made}".strip()


def next_command(chain: Chain) -> str:
    """The command that tells the next step; "" where nothing is waited for."""
    if not chain.next:
        return ""
    return f"springwalk step {shlex.quote(chain.recommendation.id)} {COMMAND.get(chain.next, chain.next)}"


def text(found: Recommendations) -> str:
    """The chains as plain text, 100 columns, ending in a newline."""
    lines = [headline(found), *([] if found.chains else _wrap(NONE)), ""]
    for chain in found.chains:
        grower = f" ({chain.grower})" if chain.grower else ""
        lines += _wrap(f"{chain.name}{grower}, {title(chain)}")
        lines += _wrap(f"{state(chain)}. {next_words(chain)}".strip(), "    ")
        lines += [line for said in (*step_lines(chain), *marks(chain)) for line in _wrap(said, "    ")]
        lines += [f"    {next_command(chain) or chain.recommendation.id}", ""]
    if found.stray:
        lines.append("Steps whose recommendation is not here:")
        lines += [line for step in found.stray for line in _wrap(step_line(step.model_dump()), "    ")]
    return "\n".join(lines).rstrip() + "\n"


def _wrap(said: str, pad: str = "") -> list[str]:
    return textwrap.wrap(
        said, WIDTH, initial_indent=pad, subsequent_indent=pad, break_long_words=False, break_on_hyphens=False
    )


def as_json(found: Recommendations) -> str:
    """The chains as JSON text, each with its words; ends in a newline."""
    made: dict[str, Any] = {"words": {"headline": headline(found)}, **found.model_dump(mode="json")}
    for told, chain in zip(made["chains"], found.chains, strict=True):
        told["recommendation"]["key"] = chain.recommendation.natural_key()
        told["open"] = chain.open
        told["words"] = {
            "title": title(chain), "state": state(chain), "next": next_words(chain), "steps": step_lines(chain),
            "marks": marks(chain), "money": money_words(chain.recommendation), "command": next_command(chain),
        }  # fmt: skip
    return dumps(made)
