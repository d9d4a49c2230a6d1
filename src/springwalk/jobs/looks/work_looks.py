"""Looks that people's own work makes: a treatment to check, bait stations to read, a visit that was promised."""

from __future__ import annotations

from datetime import date, timedelta

from springwalk.jobs.keep_out import first_day_in, opens_at
from springwalk.jobs.looks.facts import FieldFacts, Sown
from springwalk.jobs.looks.frame import make_look, reason
from springwalk.jobs.results import Look
from springwalk.records import Promise


def work_looks(facts: FieldFacts) -> list[Look]:
    """Looks of the whole field that follow from what was done or promised there."""
    return [*rechecks(facts), *baits(facts), *promised(facts)]


def rechecks(facts: FieldFacts) -> list[Look]:
    """After an insecticide: the same flags 2–4 days on, never before the entry interval ends.

    With no interval typed the look opens when the lock lets go, and asks for the interval until then.
    """
    out = []
    for done in facts.passes:
        if done.what != "insecticide":
            continue
        opens = max(done.date + facts.rules.days("recheck_opens"), first_day_in(done, facts.rules.table["hold_untold"]))
        closes = max(opens + timedelta(days=1), done.date + facts.rules.days("recheck_closes"))
        why = reason("treated", date=done.date, what=done.what, product=done.product, opens=opens_at(done))
        out.append(
            make_look(
                facts, "recheck", _of(facts, done.planting), done.date, (opens, closes, closes + timedelta(days=10)),
                rule="recheck_opens", why=(why,),
                look_for=(reason("same_flags_again"), reason("untreated_strip", where=done.untreated or None)),
                can_do=(reason("retreat_by_label"),),
            )
        )  # fmt: skip
    return out


def _of(facts: FieldFacts, planting: str | None) -> Sown | None:
    return next((s for s in facts.sown if planting is not None and s.id == planting), None)


def baits(facts: FieldFacts) -> list[Look]:
    """Bait stations set: read after 10–21 days, while protection at planting is still open."""
    out = []
    for event in facts.told("baits set"):
        if any(c.pest == "wireworm" and c.date > event.date for c in facts.counts):
            continue
        opens, closes = event.date + facts.rules.days("baits_opens"), event.date + facts.rules.days("baits_closes")
        planted = [s.planted for s in facts.sown if s.planted]
        if planted and min(planted) <= event.date:
            continue  # nothing read after planting can still be acted on
        if planted:
            closes = min(closes, min(planted))
        window = (min(opens, closes), closes, _useful(closes, planted))
        out.append(
            make_look(
                facts, "baits", None, event.date, window, rule="baits_opens",
                closed_by="done", why=(reason("baits_told", date=event.date),), look_for=(reason("read_baits"),),
                can_do=(
                    reason("protect_at_planting", until=min(planted, default=None)),
                    reason("none_rescue", name="wireworm"),
                ),
            )
        )  # fmt: skip
    return out


def _useful(closes: date, planted: list[date]) -> date:
    """The last day a reading still serves: planting, as no rescue follows it."""
    return closes if planted else closes + timedelta(days=14)


def promised(facts: FieldFacts) -> list[Look]:
    """Visits promised every so many days: due that long after the last walk, and then until it is made.

    Where a grower and one field of his both have a promise, the visit due first is the one that is listed.
    """
    last = max((w.walked for w in facts.walks), default=None)
    said = facts.ended_on("promise", None)
    dues = [(_due(p, last, said), p) for p in facts.promises]
    dues = [(due, p) for due, p in dues if p.until is None or due <= p.until]
    if not dues:
        return []
    due, promise = min(dues, key=lambda pair: (pair[0], pair[1].natural_key()))
    if due - facts.today > timedelta(days=30):
        return []
    why = reason(
        "promised",
        grower=promise.grower,
        field=promise.field,
        every_days=promise.every_days,
        last=max((d for d in (last, said) if d and d != date.min), default=None),
        due=due,
    )
    made = make_look(
        facts, "promise", None, due, (due, due, due + timedelta(days=365)), rule="look_minutes", why=(why,),
        look_for=(reason("walk_promised"),),
    )  # fmt: skip
    return [made.model_copy(update={"mark": "", "source": ""})]  # a promise rests on nobody's table


def _due(promise: Promise, walked: date | None, said: date) -> date:
    """So many days after the promise began, or after the last walk or word since then."""
    last = max(promise.since, walked or date.min, said)
    return last + timedelta(days=promise.every_days)
