"""Where a recommendation stands: its steps in order, what is waited for, and by when. Pure."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import get_args

from springwalk.jobs.keep_out import PESTICIDE, first_day_in, lets_go
from springwalk.jobs.recommended import Chain, EarlyCheck, Mark, Next, PassSaid, State, StepSaid
from springwalk.jobs.rules import LookRules
from springwalk.records import Field, Pass, Recommendation, Step
from springwalk.records.advice import ANSWERS, WORTH, StepKind

_RANK = {what: at for at, what in enumerate(get_args(StepKind))}


@dataclass(frozen=True)
class HeldStep:
    """A step with its entry."""

    entry: str
    step: Step


@dataclass(frozen=True)
class HeldRecommendation:
    """A recommendation with its entry and when it was kept; ``torn``: two versions of it are held."""

    entry: str
    seq: int
    record: Recommendation
    torn: bool = False


@dataclass(frozen=True)
class Around:
    """What a chain is read with: its field, the field's passes, whether a newer recommendation is there, the day."""

    field: Field | None
    passes: Sequence[Pass]
    tied: Collection[str]
    """Passes that a step of any chain is tied to."""
    newer: bool
    today: date
    rules: LookRules


def in_order(steps: Sequence[HeldStep]) -> tuple[HeldStep, ...]:
    """Steps by day, and on one day in the order such things usually go."""
    return tuple(sorted(steps, key=_order))


def _order(held: HeldStep) -> tuple[date, int, time, str]:
    step = held.step
    return step.date, _RANK[step.what], step.at or time.min, step.natural_key()


def chain_of(held: HeldRecommendation, steps: Sequence[HeldStep], around: Around) -> Chain:
    """The chain of one recommendation."""
    record = held.record
    ordered = in_order(steps)
    told = [one.step for one in ordered]
    state = _state(record, told, newer=around.newer)
    next_, opens, by = _next(record, told, state, around)
    return Chain(
        entry=held.entry, recommendation=record, name=around.field.name if around.field else record.field,
        grower=around.field.grower if around.field else "", steps=tuple(step_said(one) for one in ordered), state=state,
        next=next_, opens=opens, by=by, late=by is not None and by < around.today,
        marks=_marks(held, told, state, around), to=_to(told, around),
        passes=tuple(_pass(one) for one in candidates(record, around)), early=_early(told, around),
    )  # fmt: skip


def candidates(record: Recommendation, around: Around) -> list[Pass]:
    """Pesticide passes of the field from the recommendation on that no step is tied to, the newest first."""
    found = [
        one
        for one in around.passes
        if one.what in PESTICIDE and record.date <= one.date <= around.today and one.natural_key() not in around.tied
    ]
    return sorted(found, key=lambda one: (one.date, one.natural_key()), reverse=True)


def _state(record: Recommendation, steps: Sequence[Step], *, newer: bool) -> State:
    """What is most certain comes first: a verdict, a check, a treatment, then what was answered and ordered."""
    by = _by_what(steps)
    if any(what in by for what in WORTH):
        return "closed"
    if "done" in by:
        last = max(one.date for one in by["done"])
        seen = [one.date for one in by.get("checked", ()) if one.date >= last]
        return "closed" if seen else "done, not checked"
    if _refused(by):
        return "closed"
    if "ordered" in by:
        return "ordered, not done"
    if "taken" in by:
        return "taken, not ordered" if record.treats else "closed"
    if "told" in by:
        return "told, no answer" if record.treats else "closed"
    return "replaced" if newer and not steps else "not told"


def _by_what(steps: Sequence[Step]) -> dict[str, list[Step]]:
    by: dict[str, list[Step]] = {}
    for step in steps:
        by.setdefault(step.what, []).append(step)
    return by


def _refused(by: Mapping[str, Sequence[Step]]) -> bool:
    """Whether the last word is no. Where an order stands on the very day, nobody knows: it stays open."""
    if "refused" not in by:
        return False
    no = max(_moment(one) for one in by["refused"])
    yes = [_moment(one) for what in ("taken", "ordered") for one in by.get(what, ())]
    return all(one < no for one in yes)


def _moment(step: Step) -> tuple[date, time]:
    return step.date, step.at or time.min


def _next(
    record: Recommendation, steps: Sequence[Step], state: State, around: Around
) -> tuple[Next, date | None, date | None]:
    """What the chain waits for, from when and by when."""
    act_on = record.act_on or record.date
    if state == "done, not checked":
        opens, closes = recheck([one for one in steps if one.what == "done"], around)
        return "checked", opens, closes
    if state == "ordered, not done":
        wanted = [one.wanted_on for one in steps if one.what == "ordered" and one.wanted_on is not None]
        return "done", None, max(wanted) if wanted else act_on
    if state == "closed":
        by = _by_what(steps)
        return ("worth" if "done" in by and not any(what in by for what in WORTH) else ""), None, None
    waits: dict[State, Next] = {"not told": "told", "told, no answer": "answer", "taken, not ordered": "ordered"}
    return waits.get(state, ""), None, act_on if state in waits else None


def recheck(done: Sequence[Step], around: Around) -> tuple[date, date]:
    """The days between which the same flags are counted again, never before the field lets people in."""
    last = max(done, key=lambda one: one.date)
    opens = last.date + around.rules.days("recheck_opens")
    tied = pass_of(last, around)
    if tied is not None and (tied.what in PESTICIDE or tied.entry_hours is not None):
        opens = max(opens, first_day_in(tied, around.rules.table["hold_untold"]))
    return opens, max(opens + timedelta(days=1), last.date + around.rules.days("recheck_closes"))


def pass_of(done: Step, around: Around) -> Pass | None:
    """The pass a treatment is tied to, or where it names none the field's only pesticide pass of its day."""
    if done.pass_key:
        return next((one for one in around.passes if one.natural_key() == done.pass_key), None)
    found = [one for one in around.passes if one.date == done.date and one.what in PESTICIDE]
    return found[0] if len(found) == 1 and found[0].natural_key() not in around.tied else None


def _marks(held: HeldRecommendation, steps: Sequence[Step], state: State, around: Around) -> tuple[Mark, ...]:
    by = _by_what(steps)
    told = min((one.date for one in by.get("told", ())), default=None)
    done = by.get("done", [])
    first = min((one.date for one in done), default=None)
    found: dict[Mark, bool] = {
        "two versions": held.torn,
        "not told": told is None and bool(steps),
        "done before told": first is not None and told is not None and first < told,
        "done after refused": first is not None and _refused(by),
        "refused and ordered on one day": _both_on_one_day(by) and not done and state != "closed",
        "no pass": any(not one.pass_key and pass_of(one, around) is None for one in done),
        "pass not held": any(one.pass_key and pass_of(one, around) is None for one in done),
        "checked too early": _early(steps, around) is not None,
        "no strip": bool(done) and "untreated strip" not in by and not _strip_of_pass(done, around),
    }
    return tuple(mark for mark, there in found.items() if there)


def _early(steps: Sequence[Step], around: Around) -> EarlyCheck | None:
    """The first check before the field let people in again after a treatment of its day or before; None = none."""
    by, hold_hours = _by_what(steps), around.rules.table["hold_untold"]
    for check in by.get("checked", ()):
        for treatment in by.get("done", ()):
            tied = pass_of(treatment, around)
            if tied is None or tied.date > check.date or (tied.what not in PESTICIDE and tied.entry_hours is None):
                continue
            opens, first_day = lets_go(tied, hold_hours), first_day_in(tied, hold_hours)
            if datetime.combine(check.date, check.at) < opens if check.at else check.date < first_day:
                return EarlyCheck(on=check.date, opens=opens if tied.entry_hours is not None else None)
    return None


def _both_on_one_day(by: Mapping[str, Sequence[Step]]) -> bool:
    no = {_moment(one) for one in by.get("refused", ())}
    return bool(no & {_moment(one) for one in by.get("ordered", ())})


def _strip_of_pass(done: Sequence[Step], around: Around) -> bool:
    """Whether a pass that did it tells where a strip was left."""
    found = [pass_of(one, around) for one in done]
    return any(one is not None and one.untreated for one in found)


def _to(steps: Sequence[Step], around: Around) -> str:
    told = [one.who for one in steps if one.what in ("told", *ANSWERS) and one.who]
    return told[-1] if told else around.field.grower if around.field else ""


def step_said(held: HeldStep) -> StepSaid:
    """A step as answers tell it, with its entry."""
    names = [name for name in StepSaid.model_fields if name != "entry"]
    return StepSaid(entry=held.entry, **{name: getattr(held.step, name) for name in names})


def _pass(one: Pass) -> PassSaid:
    return PassSaid(key=one.natural_key(), date=one.date, what=one.what, product=one.product)
