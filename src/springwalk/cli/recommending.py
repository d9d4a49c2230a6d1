"""Commands of recommendations and their chain: recommend, step, recommendations."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any, get_args

import typer

from springwalk.cli.entries import DateOption, NoteOption, PersonOption, receipt_values, tell_receipt
from springwalk.cli.talk import (
    FieldArgument,
    JsonOption,
    StoreOption,
    TodayOption,
    day,
    opened_store,
    say,
    say_json,
    tell_undo,
)
from springwalk.cli.terms import (
    PassCostOption,
    PassInOption,
    PriceOption,
    ProductOption,
    SprayInOption,
    VisitOption,
    YieldOption,
    terms_for,
)  # fmt: skip
from springwalk.errors import EXIT_FAULTS_LISTED, SpringwalkError

if TYPE_CHECKING:
    from collections.abc import Callable

    from springwalk.jobs.entered import Entered
    from springwalk.jobs.recommended import Recommended
    from springwalk.store import Store

HowOption = Annotated[str, typer.Option("--how", metavar="WAY", help="How: phone, text, in-person or letter.")]
RecArgument = Annotated[
    str, typer.Argument(metavar="REC", help="The recommendation's id or its beginning, or its field.")
]
StepsArgument = Annotated[
    list[str],
    typer.Argument(
        metavar="STEP...",
        help="told, taken, refused, ordered, done, checked, untreated-strip, worth-it or not-worth-it.",
    ),
]
WhereOption = Annotated[str, typer.Option("--where", metavar="PLACE", help="Where it was done, or left untreated.")]
PassOption = Annotated[str, typer.Option("--pass", metavar="DATE", help="The day, or key, of the pass that did it.")]
CutOption = Annotated[
    float | None, typer.Option("--cut", metavar="PERCENT", help="Of the plants looked at, per cent cut again.")
]
PlacesOption = Annotated[int | None, typer.Option("--of", metavar="PLANTS", help="How many plants were seen.")]


def recommend(
    field_id: FieldArgument,
    to: Annotated[str, typer.Option("--to", metavar="NAME", help="Who was told of it already.")] = "",
    how: HowOption = "",
    taken: Annotated[bool, typer.Option("--taken", help="And takes it.")] = False,
    bushels: YieldOption = None,
    price: PriceOption = None,
    own_pass: PassCostOption = None,
    product: ProductOption = None,
    pass_in: PassInOption = None,
    spray_in: SprayInOption = None,
    visit: VisitOption = None,
    person: PersonOption = "",
    note: NoteOption = "",
    store: StoreOption = None,
    today: TodayOption = None,
    json: JsonOption = False,
) -> None:
    """Ask for a field's advice, print three lines for the grower and then the advice, and keep it as it was shown.

    With --to it is kept that this person was told, with --taken that it is taken. The same answer on the same day is
    kept once. Money that is not given is the season's, from [money] of season.toml, else a printed assumption.

    \b
    Examples:
      springwalk recommend north-eighty
      springwalk recommend north-eighty --to Ann --how phone --taken
    """
    from springwalk.jobs.recommend import recommend as job, steps
    from springwalk.jobs.typed import made
    from springwalk.records import Step
    from springwalk.show.chain_words import SAYING

    asked, way = day(today), _way(how)
    with opened_store(store) as opened:
        terms = terms_for(
            opened, bushels=bushels, price=price, own_pass=own_pass, product=product, spray_in=spray_in, visit=visit,
            pass_in=pass_in,
        )  # fmt: skip
        kept = job(opened, field_id, terms, saying=SAYING, person=person, note=note, today=asked)
        of = {"recommendation": kept.record.id, "date": kept.record.date, "who": to, "person": person}
        told = [made(Step, what="told", how=way, **of)] if to or way or taken else []
        told += [made(Step, what="taken", **of)] if taken else []
        receipts = _or_undone(opened, kept, lambda: steps(opened, told, person=person, today=asked))
    _tell_kept(kept, receipts, json, store)


def _or_undone(opened: Store, kept: Recommended, keep: Callable[[], tuple[Entered, ...]]) -> tuple[Entered, ...]:
    """The receipts of the steps; where one is refused, what was just kept is taken back first."""
    from springwalk.jobs.enter import undo

    try:
        return keep()
    except SpringwalkError:
        if kept.entered.entry is not None:
            undo(opened, kept.entered.entry)
        raise


def step(
    recommendation: RecArgument,
    what: StepsArgument,
    to: Annotated[str, typer.Option("--to", metavar="NAME", help="Who was told, or ordered from.")] = "",
    by: Annotated[str, typer.Option("--by", metavar="NAME", help="Who answered, did it or checked it.")] = "",
    how: HowOption = "",
    date: DateOption = None,
    at: Annotated[str, typer.Option("--at", metavar="TIME", help="The time of day, like 14:30.")] = "",
    wanted: Annotated[str, typer.Option("--for", metavar="DATE", help="The day it was ordered for.")] = "",
    where: WhereOption = "",
    pass_: PassOption = "",
    cut: CutOption = None,
    places: PlacesOption = None,
    larvae: Annotated[int | None, typer.Option("--larvae", metavar="N", help="Live larvae found.")] = None,
    person: PersonOption = "",
    note: NoteOption = "",
    store: StoreOption = None,
    today: TodayOption = None,
    json: JsonOption = False,
) -> None:
    """Tell what became of a recommendation: one step, or several at once.

    A field stands for its recommendation that waits for such a step. Not told, the grower was told, and whoever was
    told last answers. A refusal needs --note with the reason. A treatment done is tied to the field's pesticide pass
    of that day, where one is noted.

    \b
    Examples:
      springwalk step north-eighty told taken --to Ann --how phone
      springwalk step north-eighty refused --note "no sprayer before the rain"
      springwalk step north-eighty ordered --to "the co-op" --for 2016-05-26
      springwalk step north-eighty done --by "the co-op" --date 2016-05-26
      springwalk step north-eighty checked --cut 2 --of 100 --larvae 0
    """
    from springwalk.jobs import typed
    from springwalk.jobs.recommend import steps
    from springwalk.jobs.sheet import local_date
    from springwalk.jobs.snapshot import season_of
    from springwalk.records import Step
    from springwalk.records.advice import StepKind

    words = [typed.one_of(one, get_args(StepKind), name="step") for one in what]
    given = {
        "how": _way(how), "wanted_on": typed.day(wanted, name="for"), "where": where, "pass_key": pass_,
        "cut_again_pct": cut, "places": places, "larvae": larvae,
    }  # fmt: skip
    asked, on, clock = day(today), day(date, name="date"), typed.clock(at)
    with opened_store(store) as opened:
        now = asked or local_date(season_of(opened))
        told = [
            typed.made(
                Step, recommendation=recommendation, date=on or now, what=word, at=clock, who=to or by, person=person,
                note=note if word == words[-1] else "", **_going_with(word, words, given),
            )
            for word in words
        ]  # fmt: skip
        receipts = steps(opened, told, person=person, today=now)
    if json and len(receipts) > 1:
        say_json([receipt_values(one) for one in receipts])
        return
    for entered in receipts:
        tell_receipt(entered, "", json, store)


def recommendations(
    field: Annotated[str | None, typer.Argument(metavar="FIELD", help="Only those of this field.")] = None,
    store: StoreOption = None,
    today: TodayOption = None,
    json: JsonOption = False,
) -> None:
    """Every recommendation with its chain: where it stands, what is waited for, and by when.

    Open ones first. The last line of each is the command that tells the next step.

    \b
    Examples:
      springwalk recommendations
      springwalk recommendations north-eighty --json
    """
    from springwalk.jobs.recommend import recommendations as job
    from springwalk.show import chain_words

    asked = day(today)
    with opened_store(store) as opened:
        found = job(opened, field, today=asked)
    say(chain_words.as_json(found) if json else chain_words.text(found))


def _way(how: str) -> str | None:
    """How somebody was told, None where that is not said."""
    from springwalk.jobs import typed
    from springwalk.records.advice import How

    return typed.one_of(how, get_args(How), name="how") if how.strip() else None


def _going_with(word: str, words: list[str], given: dict[str, Any]) -> dict[str, Any]:
    """Of several steps told at once each takes the parts that go with it; one told alone takes all, to be refused."""
    from springwalk.records.advice import GOES_WITH

    return {name: value for name, value in given.items() if word in GOES_WITH[name] or not _taken(name, words)}


def _taken(name: str, words: list[str]) -> bool:
    """Whether some step of the command has this part."""
    from springwalk.records.advice import GOES_WITH

    return any(word in GOES_WITH[name] for word in words)


def _tell_kept(kept: Recommended, receipts: tuple[Entered, ...], json: bool, store: str | None) -> None:
    """Print the grower's lines, the receipts and the advice; on stderr how to take back what was kept."""
    from springwalk.show.chain_words import money_words
    from springwalk.show.entry_words import receipt

    done = (kept.entered, *receipts)
    if json:
        say_json(
            {
                "advice": kept.advice.model_dump(mode="json"), "recommendation": kept.record.model_dump(mode="json"),
                "entered": [receipt_values(one) for one in done],
            }
        )  # fmt: skip
    else:
        blocks = [
            "For the grower, to copy:", kept.record.text,
            "\n".join([*(receipt(one) for one in done), f"Its id is {kept.record.id}"]),
            kept.record.said, money_words(kept.record),
        ]  # fmt: skip
        say("\n\n".join(block for block in blocks if block))
        for one in reversed(done):
            if one.undoable is not None:
                tell_undo(one.undoable, store)
    if any(one.put == "conflict" for one in done):
        raise typer.Exit(EXIT_FAULTS_LISTED)


def add_to(app: typer.Typer) -> None:
    """Add this file's commands to the program."""
    for name, command in (("recommend", recommend), ("step", step), ("recommendations", recommendations)):
        app.command(name)(command)
