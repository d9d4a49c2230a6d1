"""A store written out as a season folder and taken in again: every record and day comes back as it was."""

from __future__ import annotations

import csv
import json
from datetime import date, time
from pathlib import Path

import pytest
from hypothesis import given, settings, strategies as st

from springwalk.errors import BadFile, OutsideSeason, StoreError
from springwalk.intake.start import HEADINGS
from springwalk.jobs.export import LAYER, LOOKS, NOT_SAID, NOT_UNDERSTOOD, RAW, TWO_VERSIONS, export
from springwalk.jobs.export_rows import TABLES, tables
from springwalk.jobs.export_said import MM_UNITS, plain, said
from springwalk.jobs.take_in import take_in
from springwalk.records import (
    ENTRY_KINDS,
    Day,
    Event,
    Field,
    Gauge,
    Larva,
    Pass,
    Progress,
    Record,
    Season,
    Station,
    Walk,
)
from springwalk.store import open_store
from springwalk.store.days import put_days
from springwalk.store.entries import append, append_raw, thing_of
from tests.jobs.exported import END, EVERY_KIND, PLANTED, again, held, lines_of, new_store, weather_of
from tests.seasons import TODAY


def test_every_kind_of_record_and_every_day_comes_back_as_it_was(tmp_path: Path) -> None:
    """The promise of the export: nothing is lost or changed on the way out and in again, to the last digit."""
    with new_store(tmp_path, EVERY_KIND) as store:
        kinds = {record.kind for record in held(store).values() if record is not None}
        assert kinds == set(ENTRY_KINDS)
        done = export(store, tmp_path / "out", today=TODAY)
        assert (done.raw, done.as_is) == ({}, ())
        assert not (tmp_path / "out" / RAW).exists()
        assert done.records == len(held(store))
        with again(tmp_path / "out", tmp_path) as other:
            assert held(other) == held(store)
            assert weather_of(other) == weather_of(store)
            assert not take_in(other, tmp_path / "out", today=END).changed


def test_the_same_store_gives_the_same_files_again(tmp_path: Path) -> None:
    """What comes back writes the very same folder: an export of an export differs in no byte."""
    with new_store(tmp_path, EVERY_KIND) as store:
        export(store, tmp_path / "out", today=TODAY)
    with again(tmp_path / "out", tmp_path) as other:
        done = export(other, tmp_path / "out2", today=TODAY)
    for name in done.files:
        assert (tmp_path / "out" / name).read_bytes() == (tmp_path / "out2" / name).read_bytes(), name


def test_tables_use_the_headings_that_the_intake_reads() -> None:
    """A column the intake does not know would be lost: every cell written has a heading of the table it is in."""
    assert set(TABLES) == set(HEADINGS)
    for name, (kind, rows_of) in TABLES.items():
        records = [record for record in EVERY_KIND if record.kind == kind]
        assert records, kind
        for record in records:
            for row in rows_of(record):
                assert set(row) <= set(HEADINGS[name].all)


def test_text_that_a_spreadsheet_would_work_out_gets_a_blank_in_front(tmp_path: Path) -> None:
    """A name such as =1+1 must not run in a spreadsheet; the blank comes off when it is taken in again."""
    with new_store(tmp_path, EVERY_KIND) as store:
        export(store, tmp_path / "out", today=TODAY)
    for path in (tmp_path / "out").rglob("*.csv"):
        assert path.read_bytes().startswith(b"\xef\xbb\xbf"), "spreadsheets know UTF-8 by this mark"
        with path.open(encoding="utf-8-sig", newline="") as handle:
            for row in csv.reader(handle):
                for cell in row:
                    assert not cell.startswith(("=", "+", "@"))
                    assert not cell.startswith("-") or cell[1:].replace(".", "").isdigit()
    assert " +A" in (tmp_path / "out/catches.csv").read_text(encoding="utf-8-sig")


def test_what_is_not_understood_or_has_two_versions_goes_out_as_it_is(tmp_path: Path) -> None:
    """Nothing a store holds is left behind: unknown kinds and both sides of a conflict are written with their text."""
    with new_store(tmp_path, EVERY_KIND) as store:
        changed = PLANTED.model_copy(update={"hybrid": "Invented 2"})
        with store.writing() as write:
            append_raw(write, "drone flight", 3, '{"made": "up"}', thing="d-1")
            append(write, changed)  # names no parent: a second head
        done = export(store, tmp_path / "out", today=TODAY)
        assert done.raw == {NOT_UNDERSTOOD: 1, TWO_VERSIONS: 2}
        told = {(line["kind"], line["body"]) for line in lines_of(tmp_path / "out")}
        assert told == {
            ("drone flight", '{"made": "up"}'), ("planting", PLANTED.body()), ("planting", changed.body()),
        }  # fmt: skip
        with again(tmp_path / "out", tmp_path) as other:
            assert held(other)[thing_of(PLANTED)] == changed, "the newest of two versions is in the files"


def test_what_the_files_cannot_say_goes_out_as_it_is(tmp_path: Path) -> None:
    """The export reads back what it wrote; records and days that don't come back exactly are kept besides."""
    odd: tuple[Record, ...] = (
        Walk(id="both", field="north", walked=TODAY, larvae=(Larva(length_mm=20, instar=5),)),
        Walk(id="other", field="north", walked=TODAY, larvae=(Larva(length_mm=20, species="dingy cutworm"),)),
        Event(field="east", date=date(2016, 4, 20), what="cover killed", cover="dense"),
        Event(field="east", date=date(2016, 4, 21), what="hail", hours=2),
        Progress(planting="east/9", field="east", date=date(2016, 5, 5), area_ha=1),
        Gauge(date=date(2016, 5, 1), rain_mm=3, person=" A "),
        Pass(field="north", date=date(2016, 5, 1), what="other", at=time(14, 30, 20)),
    )  # fmt: skip
    with new_store(tmp_path, [*EVERY_KIND, *odd]) as store:
        with store.writing() as write:
            put_days(write, [Day(station="NOBODY", date=date(2016, 4, 1), min_c=1.0, max_c=2.0)])
        done = export(store, tmp_path / "out", today=TODAY)
        assert done.raw == {NOT_SAID: len(odd) + 1}
        lines = lines_of(tmp_path / "out")
        assert {line["body"] for line in lines if line["kind"] != "day"} == {record.body() for record in odd}
        assert [line["station"] for line in lines if line["kind"] == "day"] == ["NOBODY"]
        with again(tmp_path / "out", tmp_path) as other:
            whole = held(store)
            for thing, record in held(other).items():
                assert thing in whole, f"{record} was made up by the export"
            for record in EVERY_KIND:
                assert held(other)[thing_of(record)] == record


def test_a_search_alone_and_larvae_told_by_instar_come_back(tmp_path: Path) -> None:
    """Typed at the desk without a stop, a search was in no file; larvae told by their heads were blank."""
    walks = (
        Walk(id="nothing", field="north", walked=date(2016, 5, 14)),
        Walk(id="search", field="north", walked=TODAY, plants_searched=40, hour=21, soil="moist", planting="north/1",
             larvae=(Larva(instar=5), Larva(length_mm=79.5), Larva(length_mm=13.49375), Larva(instar=4))),
    )  # fmt: skip
    with new_store(tmp_path, [PLANTED, *walks]) as store:
        done = export(store, tmp_path / "out", today=TODAY)
        assert done.raw == {}
        told = (tmp_path / "out/walks.csv").read_text(encoding="utf-8-sig").splitlines()
        assert told == [
            "walk,field,date,places,person,planting,collars,staging,searched,hour,soil,larvae_mm,instars,note",
            "nothing,north,2016-05-14,,,,,collars,,,,,,",
            "search,north,2016-05-17,,,1,,collars,40,21,moist,,5,",
            "search,north,2016-05-17,,,,,,,,,79.5 13.49375,4,",
        ]
        with again(tmp_path / "out", tmp_path) as other:
            assert held(other) == held(store)


def test_numbers_confirmed_once_are_named_for_the_next_intake(tmp_path: Path) -> None:
    """Rain over 6 in. is held back unless it is said to be right: the export says which files need that again."""
    flood = Gauge(date=date(2016, 5, 13), rain_mm=200.0)
    with new_store(tmp_path, [flood]) as store:
        done = export(store, tmp_path / "out", today=TODAY)
        assert (done.as_is, done.raw) == (("rain.csv",), {})
        with again(tmp_path / "out", tmp_path, done.as_is) as other:
            assert held(other) == held(store)


def test_looks_and_map_layer_hold_the_answers_of_the_day(tmp_path: Path) -> None:
    """Other programs read the answers from a table and a map layer: every look once, every field with its walk."""
    from springwalk.jobs.sheet import sheet

    with new_store(tmp_path, EVERY_KIND) as store:
        done = export(store, tmp_path / "out", today=TODAY)
        answer = sheet(store, TODAY)
    with (tmp_path / "out" / LOOKS).open(encoding="utf-8-sig", newline="") as handle:
        rows = list(csv.DictReader(handle))
    looks = {look.key: (row.field, look) for row in (*answer.rows, *answer.rest) for look in row.looks}
    assert len(rows) == len(looks) == done.looks > 0
    for row in rows:
        field, look = looks[row["look"].strip()]
        assert (row["field"], row["code"], row["state"]) == (field, look.code, look.state)
        assert (row["opens"], row["closes"]) == (str(look.opens), str(look.closes))
    layer = json.loads((tmp_path / "out" / LAYER).read_text(encoding="utf-8"))
    told = {one["properties"]["id"]: one["properties"]["walk_today"] for one in layer["features"]}
    assert told == {row.field: row.walk_today for row in (*answer.rows, *answer.rest)}
    outlines = {one.outline["type"] for one in held_fields(tmp_path)}
    assert {one["geometry"]["type"] for one in layer["features"]} == outlines


def held_fields(tmp_path: Path) -> list[Field]:
    """The fields of the first store."""
    with open_store(str(tmp_path / "a.db")) as store:
        return [one for one in held(store).values() if isinstance(one, Field)]


def test_a_folder_that_holds_something_is_never_written_over(tmp_path: Path) -> None:
    """The refusal by its text, and the file that was there as it was."""
    (tmp_path / "out").mkdir()
    (tmp_path / "out/mine.txt").write_text("mine")
    with new_store(tmp_path) as store:
        with pytest.raises(BadFile) as caught:
            export(store, tmp_path / "out", today=TODAY)
        rule = "there is something in it, and nothing is written over; name a new folder, or an empty one."
        assert str(caught.value) == f"folder = {tmp_path / 'out'}: {rule}"
        with pytest.raises(BadFile, match="something else is there, not a folder"):
            export(store, tmp_path / "out/mine.txt", today=TODAY)
        with pytest.raises(BadFile, match=r"can't be written \(.*\); choose a folder you may write in"):
            export(store, tmp_path / "out/mine.txt/below", today=TODAY)
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["mine.txt"]
    assert (tmp_path / "out/mine.txt").read_text() == "mine"


def test_an_export_that_breaks_off_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Half a folder could be taken for a whole one: what was written before a full disk is taken away again."""

    def full(*told: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("springwalk.jobs.export.read_back", full)
    said_so = pytest.raises(BadFile, match="can't be written \\(No space left on device\\)")
    with new_store(tmp_path) as store, said_so:
        export(store, tmp_path / "new/out", today=TODAY)
    assert not (tmp_path / "new").exists()


def test_days_outside_the_season(tmp_path: Path) -> None:
    """A day asked for must be of the season and nothing is written otherwise; unasked, the looks are left out."""
    with new_store(tmp_path) as store:
        with pytest.raises(OutsideSeason):
            export(store, tmp_path / "out", today=date(2016, 12, 1))
        assert not (tmp_path / "out").exists()
        done = export(store, tmp_path / "out")  # the machine's clock is years after 2016
        assert done.looks is None
        assert not (tmp_path / "out" / LOOKS).exists()


def test_a_store_without_a_season_is_refused(tmp_path: Path) -> None:
    """An empty store holds nothing to write, and says what to do."""
    with open_store(str(tmp_path / "empty.db"), create=True) as store, pytest.raises(StoreError, match="no season yet"):
        export(store, tmp_path / "out")


@settings(derandomize=True)
@given(st.floats(0, 500, allow_nan=False))
def test_a_number_without_an_exponent_is_the_same_number(value: float) -> None:
    """Some cells refuse exponents; plain digits must give the very same float."""
    assert float(plain(value)) == value
    assert "e" not in plain(value)


def test_rain_typed_in_inches_goes_out_in_inches() -> None:
    """Of the units that give the number back the shortest text is written: what was typed, most of the time."""
    from springwalk.intake.work_cells import rain_mm

    assert said(rain_mm("0.35"), MM_UNITS, rain_mm) == "0.35in"
    assert said(33.0, MM_UNITS, rain_mm) == "33mm"
    assert said(None, MM_UNITS, rain_mm) == ""


def test_tables_leave_out_what_no_row_can_say() -> None:
    """Seasons and stations stand elsewhere, so there is no table for them alone."""
    assert tables([Season(name="s", year=2016), *[
        Station(id="S", latitude=0, longitude=0)]]) == {}  # fmt: skip
