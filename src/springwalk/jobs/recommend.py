"""Recommend: ask for advice and keep it as it was shown; keep each step of its chain; and read the chains back."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from datetime import date

from springwalk.engine import ENGINE_VERSION
from springwalk.errors import BadValue, NotFound
from springwalk.intake import shown
from springwalk.jobs.advise import advise_field
from springwalk.jobs.advised import FieldAdvice
from springwalk.jobs.chain import Around, HeldRecommendation, pass_of, step_said
from springwalk.jobs.chain_held import Held, held_in, meant
from springwalk.jobs.checked import keep_check
from springwalk.jobs.enter import TYPED, enter
from springwalk.jobs.entered import Entered
from springwalk.jobs.keep_out import PESTICIDE
from springwalk.jobs.params import load
from springwalk.jobs.params_advice import advice_params, state_rules
from springwalk.jobs.params_belief import belief_params
from springwalk.jobs.placed import check_day, check_texts, field_meant
from springwalk.jobs.recommended import Chain, Recommendations, Recommended, Saying
from springwalk.jobs.sheet import local_date
from springwalk.jobs.snapshot import season_of
from springwalk.jobs.terms import Terms
from springwalk.jobs.typed import made
from springwalk.records import Recommendation, Step
from springwalk.records.advice import ANSWERS, misplaced
from springwalk.store import Store

TREATS = ("spray", "ride along")
_DIGEST = 8
"""Letters of the hash in an id: one field seldom has two recommendations a day, and never thousands."""


def recommend(
    store: Store, field_id: str, terms: Terms, *, saying: Saying, person: str = "", note: str = "",
    device: str = TYPED, today: date | None = None,
) -> Recommended:  # fmt: skip
    """Ask for a field's advice and keep it exactly as it is shown; the same answer on the same day is kept once.

    ``terms`` must be made for the season (``terms_of``), ``saying`` puts the advice into words; ``today`` None = the
    season's local date. Raises what ``advise_field`` and ``enter`` raise, and BadValue for terms without their money
    and for words that speak of treatment without the usual cautions.
    """
    season = season_of(store)
    day = today or local_date(season)
    advice = advise_field(store, field_id, terms, today=day)
    record = _kept(advice, terms, saying, season.heat_method, person=person, note=note)
    entered = enter(store, record, person=person, device=device, today=day)
    return Recommended(advice, record, entered)


def step(
    store: Store, told: Step, *, person: str = "", device: str = TYPED, today: date | None = None
) -> Entered:  # fmt: skip
    """Keep one step of a chain; like ``steps``."""
    return steps(store, [told], person=person, device=device, today=today)[0]


def steps(
    store: Store, told: Sequence[Step], *, person: str = "", device: str = TYPED, today: date | None = None
) -> tuple[Entered, ...]:
    """Keep steps of a chain in the order told and return their receipts; nothing is kept where one is refused.

    ``recommendation`` of a step is its id, the beginning of one, or a field by id or name: then the one that waits for
    such a step, else the newest. Not told, who was told is the grower, who answered is who was told last, and a
    treatment is tied to the field's only pesticide pass of that day; ``pass_key`` may also be that pass's date. Raises
    NotFound for a recommendation or pass that is not there, BadValue for a step that can't be so, and what ``enter``
    raises. A check also ends the field's looks after a treatment that are open on its day.
    """
    season = season_of(store)
    day = today or local_date(season)
    with store.reading() as read:
        held = held_in(read)
    filled: list[Step] = []
    found: dict[str, HeldRecommendation] = {}
    for one in told:
        word = one.recommendation
        found[word] = found.get(word) or meant(held, word, one.what, day)
        filled.append(_filled(held, one, found[word], filled, day))
        check_texts(filled[-1])
        check_day(filled[-1], season, day)
    return tuple(
        (keep_check if one.what == "checked" else enter)(store, one, person=person, device=device, today=day)
        for one in filled
    )


def recommendations(store: Store, field: str | None = None, *, today: date | None = None) -> Recommendations:
    """Every recommendation with its chain, open ones first, by field and day; ``field`` = only those of one field.

    ``today`` None = the season's local date. Raises NotFound for a field that is not there.
    """
    season = season_of(store)
    day = today or local_date(season)
    with store.reading() as read:
        held = held_in(read)
        only = None if field is None else field_meant(read, field).id
    found = [held.of(one, day) for one in held.recommendations if only in (None, one.record.field)]
    known = {one.record.id for one in held.recommendations}
    stray = [one for one in held.steps if one.step.recommendation not in known and only in (None, one.step.field)]
    stray.sort(key=lambda one: one.step.natural_key())
    return Recommendations(
        season=season.name, today=day, chains=tuple(sorted(found, key=_listed)),
        stray=tuple(step_said(one) for one in stray),
    )  # fmt: skip


def _listed(chain: Chain) -> tuple[bool, str, int, str]:
    record = chain.recommendation
    return not chain.open, chain.name.casefold(), -record.date.toordinal(), record.id


def _kept(
    advice: FieldAdvice, terms: Terms, saying: Saying, heat_method: str, *, person: str, note: str
) -> Recommendation:
    """The advice as a record: its words, the exact answer, the money, and what made it."""
    if terms.said is None:
        raise BadValue("terms", "without their money", "they were not made for a season", "make them with terms_of")
    said = "\n".join(saying.lines(advice))
    acts = [part.on for part in advice.parts if part.verdict in TREATS]
    if acts and not all(line in said for line in saying.cautions):
        raise BadValue("said", advice.field, "advice to treat without the usual cautions", "say them with it")
    if acts and "label" not in saying.text(advice):
        raise BadValue("text", advice.field, "advice to treat that does not point to the label", "say it with it")
    answer = advice.model_dump_json()
    way = f"{answer}\n{terms!r}\n{terms.said!r}"
    return made(
        Recommendation, id=_id(advice, way), field=advice.field, date=advice.today, said=said,
        parts=tuple(saying.parts(advice)), text=saying.text(advice), treats=bool(acts), act_on=min(acts, default=None),
        visit_usd=terms.visit, pass_in_days=terms.pass_in_days, **terms.said.model_dump(),
        engine_version=ENGINE_VERSION, settings_hash=_settings_hash(heat_method), shown=answer, person=person,
        note=note,
    )  # fmt: skip


def _id(advice: FieldAdvice, way: str) -> str:
    """One id an answer: asked again with the same answer and money it is the same recommendation."""
    return f"{advice.field}:{advice.today}:{hashlib.sha256(way.encode()).hexdigest()[:_DIGEST]}"


def _settings_hash(heat_method: str) -> str:
    """A short hash of every value that advice rests on."""
    values = (load(heat_method).digest, advice_params(), belief_params(), state_rules())
    return hashlib.sha256(repr(values).encode()).hexdigest()[:16]


def _filled(held: Held, told: Step, of: HeldRecommendation, before: Sequence[Step], today: date) -> Step:
    """The step with its recommendation, field and what need not be told, checked; ``before`` are told along with it."""
    record = of.record
    mine = [
        *(one.step for one in held.steps_of(record.id)),
        *(one for one in before if one.recommendation == record.id),
    ]
    around = held.around(of, today)
    filled = told.model_copy(
        update={"recommendation": record.id, "field": record.field, "who": told.who.strip() or _who(told, mine, around)}
    )
    if told.what == "done":
        filled = filled.model_copy(update={"pass_key": _pass_key(told, around)})
    wrong = misplaced(filled)
    if wrong is not None:
        name, rule, todo = wrong
        raise BadValue(name, shown(getattr(filled, name) or ""), rule, todo)
    if filled.date < record.date:
        rule = f"before the recommendation ({record.date})"
        raise BadValue("date", filled.date, rule, "correct the date, or name the recommendation meant")
    return filled


def _who(told: Step, mine: Sequence[Step], around: Around) -> str:
    """Who is meant where nobody is named: the grower was told, and who was told last answers."""
    last = max((one for one in mine if one.what == "told"), key=lambda one: one.date, default=None)
    if told.what == "told":
        return around.field.grower if around.field is not None else ""
    return last.who if told.what in ANSWERS and last is not None else ""


def _pass_key(told: Step, around: Around) -> str:
    """The natural key of the pass that did it: as told, by its date, or the only one of the day; "" = none."""
    asked = told.pass_key.strip()
    if asked:
        found = [one for one in around.passes if asked in (one.natural_key(), str(one.date))]
        found = [one for one in found if one.what in PESTICIDE] or found
        if not found:
            rule, todo = "no such pass of this field is noted", "note the pass first, or leave this out"
            raise NotFound("pass", shown(asked), rule, todo)
        if len(found) > 1:
            keys = ", ".join(one.natural_key() for one in found)
            raise NotFound("pass", shown(asked), f"{len(found)} passes of that day are noted", f"give one of {keys}")
        return found[0].natural_key()
    found_on = pass_of(told.model_copy(update={"pass_key": ""}), around)
    return found_on.natural_key() if found_on is not None else ""
