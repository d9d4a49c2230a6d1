from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, time
from pathlib import Path

import pytest

from springwalk.errors import BadValue, NotFound, StoreError
from springwalk.jobs import enter as module
from springwalk.jobs.enter import DESK, TYPED, end_look, enter, look_after, undo
from springwalk.jobs.results import Look, Sheet
from springwalk.records import Done, Event, Field, Gauge, Pass, PestCount, Planting, Record, Season, Zone
from springwalk.show.look_titles import TITLES
from springwalk.store import Store, open_store
from springwalk.store.entries import append, given_by, heads, history, put_record
from tests.show import sample
from tests.stores import empty_store

TODAY = date(2016, 5, 17)
OUTLINE = {"type": "Polygon", "coordinates": [[[-93.2, 41.5], [-93.1, 41.5], [-93.1, 41.6], [-93.2, 41.5]]]}


def field(ident: str, name: str) -> Field:
    """An invented field."""
    return Field(id=ident, name=name, outline=OUTLINE, area_ha=30.0, latitude=41.5, longitude=-93.2)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """A store with two fields, one of them with a planting and a zone."""
    with open_store(empty_store(tmp_path / "season.db")) as made:
        with made.writing() as write:
            for record in (
                Season(name="Made up 2016", year=2016), field("north-eighty", "North Eighty"),
                field("elm", "Elm Bottom"), field("elm-2", "Elm Bottom"),
                Planting(id="north-eighty/1", field="north-eighty", planted=date(2016, 4, 28)),
                Zone(id="north-eighty/low", field="north-eighty", name="Low ground", area_ha=2.0),
            ):  # fmt: skip
                put_record(write, record)
        yield made


def hail(where: str = "north-eighty", on: date = TODAY, **more: object) -> Event:
    """Hail in a field."""
    return Event(field=where, date=on, what="hail", **more)  # type: ignore[arg-type]


def records(store: Store, kind: str) -> list[Record | None]:
    """What stands now of a kind."""
    with store.reading() as read:
        return [entry.record for entry in heads(read, kind)]


def test_a_tap_is_kept_with_who_and_where(store: Store) -> None:
    """The receipt names the thing, the entry and the field as people call it; the store holds the same."""
    told = enter(store, hail(), person="Ada", device=DESK, today=TODAY)
    assert (told.key, told.put, told.field, told.name) == (
        "event:north-eighty:::2016-05-17:hail", "new", "north-eighty", "North Eighty",
    )  # fmt: skip
    assert (told.said.code, told.said.facts["what"], told.said.facts["person"]) == ("entered_event", "hail", "Ada")
    with store.reading() as read:
        (entry,) = given_by(read, DESK)
    assert (entry.id, entry.person, entry.record) == (told.entry, "Ada", hail(person="Ada"))


def test_ids_and_names_are_found_in_any_case(store: Store) -> None:
    """What a person calls a field, a planting or a zone must be enough where only one is called so."""
    told = enter(store, hail("north EIGHTY", planting="1", zone="LOW"), today=TODAY)
    assert records(store, "event") == [hail(planting="north-eighty/1", zone="north-eighty/low")]
    assert enter(store, hail("north-eighty", planting="north-eighty/1", zone="north-eighty/low"), today=TODAY).put == (
        "same"
    )
    assert told.name == "North Eighty"


@pytest.mark.parametrize(
    ("record", "kind", "told"),
    [
        (hail("north-eigthy"), NotFound,
         "field = north-eigthy: no such field in this store; did you mean 'north-eighty'."),
        (hail("zzz"), NotFound,
         "field = zzz: no such field in this store; there are: elm, elm-2, north-eighty."),
        (hail("Elm Bottom"), NotFound,
         "field = Elm Bottom: 2 fields are called so (elm, elm-2); give the id of the one meant."),
        (hail(zone="lwo"), NotFound,
         "zone = lwo: field 'north-eighty' has no such zone; did you mean 'low'."),
        (hail("elm", zone="low"), NotFound,
         "zone = low: field 'elm' has no such zone; take in the folder that tells it first."),
        (hail(planting="2"), NotFound,
         "planting = 2: field 'north-eighty' has no such planting; there are: 1."),
        (hail(on=date(2016, 5, 18)), BadValue,
         "date = 2016-05-18: after today (2016-05-17); give the day it was seen or done."),
        (hail(on=date(2015, 6, 30)), BadValue,
         "date = 2015-06-30: outside the season 2016 (2015-07-01 to 2016-12-31); correct the date."),
        (hail(person="A\nB"), BadValue, "person = A\\nB: holds a line break; write it on one line."),
        (hail(person="A\x00"), BadValue,
         "person = A\\x00: holds a character that can't be printed (\\x00); type the text again."),
        (hail(note="x" * 2001), BadValue,
         f"note = {'x' * 79}…: longer than 2000 characters; write it shorter."),
        (hail(person="x" * 201), BadValue,
         f"person = {'x' * 79}…: longer than 200 characters; write it shorter."),
    ],
)  # fmt: skip
def test_what_is_refused_is_said_and_nothing_is_written(
    store: Store, record: Record, kind: type[Exception], told: str
) -> None:
    """A slip must not become a record of a field or a day that is not there."""
    before = store.counter
    with pytest.raises(kind) as error:
        enter(store, record, today=TODAY)
    assert str(error.value) == told
    assert store.counter == before


def test_a_note_may_run_over_lines(store: Store) -> None:
    """What a person has to say does not always fit on one."""
    assert enter(store, hail(note="east half\nworst by the road"), today=TODAY).put == "new"


def test_a_store_without_a_season_says_what_to_do(tmp_path: Path) -> None:
    """An empty store has no fields to speak of."""
    with open_store(str(tmp_path / "empty.db"), create=True) as empty, pytest.raises(StoreError, match="no season yet"):
        enter(empty, hail(), today=TODAY)


def test_told_again_with_less_keeps_what_was_told(store: Store) -> None:
    """A second tap without hours must not wipe out the hours; one with other hours takes their place."""
    first = Event(field="elm", date=TODAY, what="ponding", hours=12.0, person="Ada", note="by the road")
    enter(store, first, today=TODAY)
    assert enter(store, Event(field="elm", date=TODAY, what="ponding"), today=TODAY).put == "same"
    told = enter(store, Event(field="elm", date=TODAY, what="ponding", hours=20.0), today=TODAY)
    assert told.put == "revised"
    assert told.before is not None
    assert (told.before.facts["hours"], told.said.facts["hours"]) == (12.0, 20.0)
    assert records(store, "event") == [first.model_copy(update={"hours": 20.0})]


def test_rain_may_speak_for_every_field(store: Store) -> None:
    """One gauge at the farm is read for all of them."""
    told = enter(store, Gauge(date=TODAY, rain_mm=33.0), person="Ada", today=TODAY)
    assert (told.put, told.field, told.name) == ("new", "", "")
    assert records(store, "gauge") == [Gauge(date=TODAY, rain_mm=33.0, person="Ada")]


def test_a_pass_says_when_the_field_opens_or_that_it_is_held(store: Store) -> None:
    """The keep-out lock follows from the interval typed; without one the field is held out all the same."""
    spray = Pass(field="elm", date=TODAY, what="insecticide", at=time(14, 30), entry_hours=24.0)
    assert enter(store, spray, today=TODAY).said.facts["opens"] == datetime.combine(date(2016, 5, 18), time(14, 30))
    untold = enter(store, Pass(field="elm", date=TODAY, what="herbicide"), today=TODAY).said.facts
    assert (untold["opens"], untold["held_hours"]) == (None, 168.0)
    hoe = enter(store, Pass(field="elm", date=TODAY, what="rotary hoe"), today=TODAY).said.facts
    assert (hoe["opens"], hoe["held_hours"]) == (None, None)


def test_undo_takes_back_a_first_telling(store: Store) -> None:
    """A tap on the wrong field leaves no hail behind; its history stays."""
    told = enter(store, hail(), today=TODAY)
    assert told.entry is not None
    back = undo(store, told.entry, person="Ada", device=DESK)
    assert (back.put, back.name, back.said) == ("taken back", "North Eighty", told.said)
    assert records(store, "event") == []
    with store.reading() as read:
        (gone,) = heads(read, "event", with_taken_back=True)
        assert len(history(read, gone.thing)) == 2
    assert enter(store, hail(), today=TODAY).put == "new"


def test_undo_of_a_change_brings_back_what_was_there(store: Store) -> None:
    """Rain told by a file must not vanish because someone corrected it and thought again."""
    with store.writing() as write:
        put_record(write, Gauge(field="elm", date=TODAY, rain_mm=33.0), device="intake rain.csv")
    changed = enter(store, Gauge(field="elm", date=TODAY, rain_mm=3.3), today=TODAY)
    assert changed.entry is not None
    back = undo(store, changed.entry)
    assert back.put == "brought back"
    assert back.before is not None
    assert back.before.facts["rain_mm"] == 33.0
    assert records(store, "gauge") == [Gauge(field="elm", date=TODAY, rain_mm=33.0)]


def test_undo_refuses_what_it_would_not_put_right(store: Store) -> None:
    """An entry told otherwise since, taken back already, from a file, or unknown: each says what to do."""
    told = enter(store, hail(), today=TODAY)
    assert told.entry is not None
    enter(store, hail(note="worse than thought"), today=TODAY)
    with pytest.raises(BadValue) as since:
        undo(store, told.entry)
    assert str(since.value) == (
        f"entry = {told.entry}: taken back already, or told otherwise since;"
        " look at what is told now and enter what is right."
    )
    with store.writing() as write:
        of_file = append(write, hail("elm"), device="intake events.csv")
    with pytest.raises(BadValue) as filed:
        undo(store, of_file.id)
    assert str(filed.value) == (
        f"entry = {of_file.id}: not an entry that was typed by hand; correct the file it came from and take that in."
    )
    with pytest.raises(NotFound) as none:
        undo(store, "nothing")
    assert str(none.value) == "entry = nothing: the store holds no such entry; copy it from the receipt."


def test_undo_works_once(store: Store) -> None:
    """A button pressed twice must not undo something else."""
    told = enter(store, hail(), today=TODAY)
    assert told.entry is not None
    undo(store, told.entry)
    with pytest.raises(BadValue, match="taken back already"):
        undo(store, told.entry)


def test_of_two_versions_nothing_is_chosen(store: Store) -> None:
    """Where two phones told different things a third telling must not hide that."""
    with store.writing() as write:
        for note in ("left", "right"):
            append(write, hail(note=note), device=f"phone {note}")
    before = store.counter
    told = enter(store, hail(note="neither"), today=TODAY)
    assert (told.put, told.entry, store.counter) == ("conflict", None, before)


KEY = "hail:north-eighty::2016-05-14"


def with_look(state: str = "due", key: str = KEY, code: str = "hail") -> Sheet:
    """The sample sheet, its first field called North Eighty and with one look."""
    look = Look(
        key=key, code=code, planting=None, zone=None, opens=date(2016, 5, 21), closes=date(2016, 5, 24),
        lapses=date(2016, 5, 30), state=state, why=(),
    )  # type: ignore[arg-type]  # fmt: skip
    made = sample.sheet()
    row = made.rows[0].model_copy(update={"field": "north-eighty", "looks": (look,)})
    return made.model_copy(update={"rows": (row, *made.rows[1:])})


@pytest.fixture
def looked(monkeypatch: pytest.MonkeyPatch) -> None:
    """The sheet of this store has one look, after hail."""
    monkeypatch.setattr(module, "latest_sheet", lambda store, today: with_look())


@pytest.mark.usefixtures("looked")
def test_a_look_is_ended_by_its_key(store: Store) -> None:
    """Done, or set aside with its reason; the field comes from the sheet, and again is the same."""
    told = end_look(store, KEY, person="Ada", today=TODAY)
    assert (told.put, told.field) == ("new", "north-eighty")
    assert records(store, "done") == [Done(look=KEY, field="north-eighty", on=TODAY, person="Ada")]
    assert end_look(store, f" {KEY} ", person="Ada", today=TODAY).put == "same"
    aside = end_look(store, KEY, outcome="set aside", note="grower looked", on=date(2016, 5, 16), today=TODAY)
    assert (aside.put, aside.said.facts["outcome"]) == ("revised", "set aside")


def test_an_ended_look_that_left_the_sheet_is_still_known(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """Pressing Done twice: the sheet no longer lists the look, and that is no error."""
    monkeypatch.setattr(module, "latest_sheet", lambda store, today: with_look())
    end_look(store, KEY, today=TODAY)
    monkeypatch.setattr(module, "latest_sheet", lambda store, today: sample.sheet())
    assert end_look(store, KEY, today=TODAY).put == "same"


@pytest.mark.usefixtures("looked")
def test_a_look_that_is_not_there_or_has_no_reason_is_refused(store: Store) -> None:
    """A slip in the key names the nearest; setting aside without a reason says why not."""
    with pytest.raises(NotFound) as near:
        end_look(store, "hail:north-eigthy::2016-05-14", today=TODAY)
    assert str(near.value) == (f"look = hail:north-eigthy::2016-05-14: no field has this look; did you mean '{KEY}'.")
    with pytest.raises(NotFound) as none:
        end_look(store, "x", today=TODAY)
    assert str(none.value) == "look = x: no field has this look; copy a key from the list: springwalk due."
    with pytest.raises(BadValue) as aside:
        end_look(store, KEY, outcome="set aside", note=" ", today=TODAY)
    assert str(aside.value) == "note = (blank): a look is set aside with a reason; say why in a few words."
    with pytest.raises(BadValue) as late:
        end_look(store, KEY, on=date(2016, 5, 18), today=TODAY)
    assert str(late.value) == "on = 2016-05-18: after today (2016-05-17); give the day it was seen or done."


def test_the_look_an_entry_opened_is_found(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """After a tap the person is told when to look: that field's look of that kind, not one that is missed."""
    told = enter(store, hail(on=date(2016, 5, 14)), today=TODAY)
    monkeypatch.setattr(module, "latest_sheet", lambda store, today: with_look())
    found = look_after(store, told, today=TODAY)
    assert found is not None
    assert found.key == KEY
    assert look_after(store, enter(store, hail("elm"), today=TODAY), today=TODAY) is None
    monkeypatch.setattr(module, "latest_sheet", lambda store, today: with_look(state="missed"))
    assert look_after(store, told, today=TODAY) is None
    monkeypatch.setattr(module, "latest_sheet", lambda store, today: with_look(code="wind"))
    assert look_after(store, told, today=TODAY) is None


def test_a_sheet_that_cannot_be_made_does_not_undo_the_entry(store: Store) -> None:
    """On a day outside the season there is no sheet; what was told is kept all the same."""
    late = date(2016, 12, 1)
    told = enter(store, hail(on=late), today=late)
    assert look_after(store, told, today=late) is None
    assert told.put == "new"


def test_a_count_of_a_pest_is_kept(store: Store) -> None:
    """Counts of other pests go the same way as taps."""
    count = PestCount(field="elm", date=TODAY, pest="slug", looked=20, insects=3)
    told = enter(store, count, person="Ada", device=TYPED, today=TODAY)
    assert (told.put, told.said.code) == ("new", "entered_pest_count")


def test_every_look_that_an_entry_can_open_has_a_title() -> None:
    """A code misspelt here would leave the receipt silent."""
    assert {code for codes in module._LOOK_OF.values() for code in codes} <= set(TITLES)
