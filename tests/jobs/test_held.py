"""What an earlier file gave: found again when it is gone, merged where a column is missing, never counted twice."""

# ruff: noqa: E501 (fault texts are written whole, as a person reads them)

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest

from springwalk.errors import BadValue
from springwalk.intake import Repair
from springwalk.jobs.receipt import FileReceipt, Receipt
from springwalk.jobs.sheet import sheet
from springwalk.jobs.take_in import take_in
from springwalk.records import Catch, Event, Field, Planting, Trap, Walk
from springwalk.store import Store
from springwalk.store.days import days
from springwalk.store.entries import append, conflicts, heads, history, put_record, thing_of
from tests.seasons import CATCHES, EVENTS, PLANTINGS, SEASON, TODAY, TRAPS, WALKS, outlines, weather, write_season


@pytest.fixture
def farm(store: Store, tmp_path: Path) -> Path:
    """The small season folder, taken in once."""
    folder = write_season(tmp_path / "farm")
    take_in(store, folder, today=TODAY)
    return folder


def of(receipt: Receipt, name: str) -> FileReceipt:
    """The receipt of one file."""
    return next(file for file in receipt.files if file.name == name)


def held(store: Store, kind: str) -> list[object]:
    """The records of a kind."""
    with store.reading() as read:
        return [entry.record for entry in heads(read, kind)]


def lines(receipt: Receipt, name: str) -> list[str]:
    """The faults of one file, save notes."""
    return [f"{one.severity} {one}" for one in of(receipt, name).faults if one.severity != "note"]


CHANGED = [
    ("events.csv", EVENTS.replace("south,2016-04-22", "south,2016-04-24"), "south cover killed 2016-04-22"),
    ("walks.csv", WALKS.replace("W1", "W7"), "walk W1 of east on 2016-05-14"),
    ("plantings.csv", PLANTINGS.replace("east,1,2016-04-28,Invented 1\n", ""), "planting east/1"),
    ("catches.csv", CATCHES.replace("T1,2016-04-16,2016-04-18,1,A\n", ""), "T1 read 2016-04-18"),
    ("traps.csv", "trap,name,kind,latitude,longitude\nT2,Creek,wing,40.705,-96.855\n", "trap T1"),
]


@pytest.mark.parametrize(("name", "text", "words"), CHANGED, ids=[name for name, _, _ in CHANGED])
def test_what_a_file_no_longer_holds_is_listed_and_kept_until_taken_back(
    store: Store, farm: Path, name: str, text: str, words: str
) -> None:
    """A corrected date makes a new thing: the old one must be seen, and may go only when a person says so."""
    write_season(farm, {name: text, **({"catches.csv": "trap,read,moths\n"} if name == "traps.csv" else {})})
    receipt = take_in(store, farm, today=TODAY, options="--today 2016-05-17")
    file = of(receipt, name)
    assert (file.gone, file.taken_back) == ((words,), ())
    assert file.to_take_back == f"springwalk intake {farm} --today 2016-05-17 --take-back {name}"
    kind = name.removesuffix(".csv").removesuffix("s").replace("catche", "catch")
    before = len(held(store, kind))
    file = of(take_in(store, farm, today=TODAY, take_back=[name]), name)
    assert (file.gone, file.to_take_back, file.taken_back) == ((), "", (words,))
    assert len(held(store, kind)) == before - 1
    again = take_in(store, farm, today=TODAY, take_back=[name])
    assert not again.changed
    assert (of(again, name).gone, of(again, name).taken_back) == ((), ())


def test_nothing_is_taken_back_unasked_or_from_another_file(store: Store, farm: Path) -> None:
    """One option, one file."""
    write_season(farm, {"walks.csv": WALKS.replace("W1", "W7"), "events.csv": EVENTS.replace("04-22", "04-24")})
    receipt = take_in(store, farm, today=TODAY, take_back=["walks.csv"])
    assert of(receipt, "walks.csv").taken_back == ("walk W1 of east on 2016-05-14",)
    assert of(receipt, "events.csv").gone == ("south cover killed 2016-04-22",)
    assert [one.id for one in held(store, "walk") if isinstance(one, Walk)] == ["W7"]
    assert len(held(store, "event")) == 5


def test_what_was_taken_back_keeps_its_history_and_can_be_told_again(store: Store, farm: Path) -> None:
    """A row deleted by mistake comes back with the file."""
    write_season(farm, {"walks.csv": WALKS.replace("W1", "W7")})
    take_in(store, farm, today=TODAY, take_back=["walks.csv"], person="Wren")
    receipt = take_in(store, write_season(farm), today=TODAY)
    assert (of(receipt, "walks.csv").new, of(receipt, "walks.csv").gone) == (1, ("walk W7 of east on 2016-05-14",))
    (walk,) = [one for one in held(store, "walk") if isinstance(one, Walk) and one.id == "W1"]
    with store.reading() as read:
        told = [(entry.device, entry.person, entry.taken_back) for entry in history(read, thing_of(walk))]
    device = "intake walks.csv"
    assert told == [(device, "", False), (device, "Wren", True), (device, "", False)]


def test_rows_left_out_forbid_taking_back(store: Store, farm: Path) -> None:
    """The row that can't be read may be the very one that seems to be missing."""
    write_season(farm, {"walks.csv": WALKS.replace("W1,east,2016-05-14", "W1,east,soon")})
    file = of(take_in(store, farm, today=TODAY), "walks.csv")
    assert file.gone == ()
    receipt = take_in(store, farm, today=TODAY, take_back=["walks.csv"])
    assert of(receipt, "walks.csv").taken_back == ()
    assert lines(receipt, "walks.csv")[-1] == (
        "refused walks.csv, take-back = walks.csv: rows were left out or held back, and one of them may be what is missing; "
        "nothing was taken back; correct those rows first, then ask again."
    )
    assert len(held(store, "walk")) == 1


def test_an_outline_held_back_is_not_missing(store: Store, farm: Path) -> None:
    """A suspected outline stands in the file: its field must not be offered for taking back."""
    far = outlines().replace("-96.86", "-86.86", 3)
    receipt = take_in(store, write_season(farm, {"fields.geojson": far}), today=TODAY, take_back=["fields.geojson"])
    assert of(receipt, "fields.geojson").suspected == 1
    assert [one.column for one in of(receipt, "fields.geojson").faults if one.severity == "refused"] == ["take-back"]
    assert (of(receipt, "fields.geojson").gone, of(receipt, "fields.geojson").taken_back) == ((), ())
    assert len(held(store, "field")) == 3


def test_a_file_that_is_not_there_gives_nothing_away(store: Store, farm: Path) -> None:
    """A folder with only this week's files says nothing of the others."""
    for name in ("catches.csv", "events.csv", "walks.csv"):
        (farm / name).unlink()
    receipt = take_in(store, farm, today=TODAY)
    assert [file.gone for file in receipt.files if file.gone] == []


def test_what_another_file_tells_now_is_not_missing(store: Store, farm: Path) -> None:
    """A trap moved from traps.csv into the log is the same trap."""
    (farm / "traps.csv").write_text("trap,name,kind,latitude,longitude\n", encoding="utf-8")
    log = "trap,name,kind,latitude,longitude,since,read,moths,person\nT1,Creek,wing,40.705,-96.855,2016-04-10,2016-04-12,1,A\n"
    (farm / "catches.csv").write_text(log, encoding="utf-8")
    receipt = take_in(store, farm, today=TODAY)
    assert of(receipt, "traps.csv").gone == ()


def test_what_a_phone_said_of_a_thing_since_is_not_the_files_to_take_back(store: Store, farm: Path) -> None:
    """Only what the file itself said last can leave with it."""
    (walk,) = held(store, "walk")
    assert isinstance(walk, Walk)
    with store.writing() as write:
        put_record(write, walk.model_copy(update={"note": "seen again"}), device="phone-1")
    write_season(farm, {"walks.csv": WALKS.replace("W1", "W7")})
    assert of(take_in(store, farm, today=TODAY, take_back=["walks.csv"]), "walks.csv").taken_back == ()
    assert len(held(store, "walk")) == 2


def test_a_sheet_without_what_was_taken_back(store: Store, farm: Path) -> None:
    """Fields and traps may leave while their plantings and catches are still held: the sheet must go on."""
    one = {"fields.geojson": outlines().replace('"east"', '"west"'), "traps.csv": TRAPS.replace("T1", "T3")}
    (farm / "walks.csv").unlink()
    write_season(
        farm,
        {
            **one,
            "plantings.csv": "field\n",
            "events.csv": "field,date,event\n",
            "walks.csv": "walk,field,date,places\n",
        },
    )
    take_in(store, farm, today=TODAY, take_back=["fields.geojson", "traps.csv"])
    assert sorted(one.id for one in held(store, "field") if isinstance(one, Field)) == ["north", "south", "west"]
    assert [one.id for one in held(store, "trap") if isinstance(one, Trap)] == ["T3"]
    assert sheet(store, TODAY).today == TODAY


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("walk.csv", "take-back = walk.csv: no file of this name was read; did you mean 'walks.csv'."),
        ("weather/station.csv", "take-back = weather/station.csv: days of weather are not taken back; correct their values in the file."),
    ],
)  # fmt: skip
def test_a_wrong_name_takes_nothing_back(store: Store, farm: Path, name: str, expected: str) -> None:
    """A slip must be told before anything is written."""
    write_season(farm, {"walks.csv": WALKS.replace("W1", "W7")})
    counter = store.counter
    with pytest.raises(BadValue) as caught:
        take_in(store, farm, today=TODAY, take_back=[name])
    assert str(caught.value) == expected
    assert store.counter == counter


def test_a_catch_that_shares_nights_with_one_held_waits(store: Store, farm: Path) -> None:
    """The corrected reading beside the old one would count its moths twice."""
    write_season(farm, {"catches.csv": CATCHES.replace("2016-04-14,2016-04-16", "2016-04-14,2016-04-15")})
    receipt = take_in(store, farm, today=TODAY)
    assert lines(receipt, "catches.csv") == [
        "suspected catches.csv, row 4, column since = 2016-04-14 to 2016-04-15: shares nights with the catch held from an earlier "
        "catches.csv (2016-04-14 to 2016-04-16); the row is held back; if the one held is wrong: "
        f"springwalk intake {farm} --take-back catches.csv; if not, correct the dates, so that each night is counted once."
    ]
    assert len(held(store, "catch")) == 4
    receipt = take_in(store, farm, today=TODAY, take_back=["catches.csv"])
    file = of(receipt, "catches.csv")
    assert (file.taken_back, file.new, file.suspected) == (("T1 read 2016-04-16",), 1, 0)
    assert sorted(str(one.read) for one in held(store, "catch") if isinstance(one, Catch)) == [
        "2016-04-12", "2016-04-14", "2016-04-15", "2016-04-18",
    ]  # fmt: skip


def test_a_catch_that_shares_nights_with_a_phones(store: Store, farm: Path) -> None:
    """There is no file to take that one back from: the dates must be corrected."""
    with store.writing() as write:
        other = Catch(trap="T1", since=date(2016, 4, 18), read=date(2016, 4, 21), moths=3)
        put_record(write, other, device="phone-1")
    receipt = take_in(
        store, write_season(farm, {"catches.csv": CATCHES + "T1,2016-04-19,2016-04-20,2,A\n"}), today=TODAY
    )
    assert lines(receipt, "catches.csv") == [
        "suspected catches.csv, row 6, column since = 2016-04-19 to 2016-04-20: shares nights with the catch held from phone-1 "
        "(2016-04-18 to 2016-04-21); the row is held back; correct the dates, so that each night is counted once."
    ]


def test_a_thing_in_conflict_is_listed_and_left_alone(store: Store, farm: Path) -> None:
    """Two phones disagree: a third word from a file settles it only when a person says that the file is right."""
    (walk,) = held(store, "walk")
    assert isinstance(walk, Walk)
    with store.writing() as write:
        append(write, walk.model_copy(update={"note": "other"}), device="phone-1")
    write_season(farm, {"walks.csv": WALKS.replace(",20,1,14", ",20,2,14")})
    receipt = take_in(store, farm, today=TODAY)
    assert lines(receipt, "walks.csv") == [
        "suspected walks.csv, record = walk W1 of east on 2016-05-14: the store holds two versions of it and this is neither; "
        f"nothing was written; if the file is right: springwalk intake {farm} --repair walks.csv:as-is."
    ]
    with store.reading() as read:
        assert len(history(read, thing_of(walk))) == 2
    receipt = take_in(store, farm, today=TODAY, repairs={"walks.csv": Repair(as_is=True)})
    assert (lines(receipt, "walks.csv"), len(of(receipt, "walks.csv").revised)) == ([], 1)
    with store.reading() as read:
        assert conflicts(read) == {}


def test_a_missing_column_keeps_and_a_blank_erases(store: Store, farm: Path) -> None:
    """A file that has no hybrids says nothing of hybrids; a blank under the heading says that there is none."""
    receipt = take_in(
        store, write_season(farm, {"plantings.csv": "field,planting,planted\nnorth,1,2016-05-06\n"}), today=TODAY
    )
    (told,) = of(receipt, "plantings.csv").revised
    assert (told.before, told.after) == ("planted 2016-05-05", "planted 2016-05-06")
    receipt = take_in(
        store, write_season(farm, {"plantings.csv": "field,planted,hybrid\nnorth,2016-05-06,\n"}), today=TODAY
    )
    (told,) = of(receipt, "plantings.csv").revised
    assert (told.before, told.after) == ("hybrid Invented 1", "hybrid not told")


def test_a_missing_column_of_any_file(store: Store, farm: Path) -> None:
    """The same for persons, covers, names, stops and properties of outlines."""
    fewer = {
        "events.csv": "\n".join(line.rsplit(",", 2)[0] for line in EVENTS.splitlines()),
        "catches.csv": "\n".join(line.rpartition(",")[0] for line in CATCHES.splitlines()),
        "traps.csv": "trap,kind,latitude,longitude\nT1,wing,40.705,-96.855\n",
        "walks.csv": "walk,field,date,places\nW1,east,2016-05-14,20\nW1,east,2016-05-14,20\n",
        "fields.geojson": outlines()
        .replace('"grower": "Invented Farms"', '"colour": "x"')
        .replace('"name"', '"label"'),
    }
    receipt = take_in(store, write_season(farm, fewer), today=TODAY)
    assert [(file.name, one.what, one.before, one.after) for file in receipt.files for one in file.revised] == []
    assert not any(one.severity == "refused" for file in receipt.files for one in file.faults)
    blank = {"walks.csv": "walk,field,date,places,collars\nW1,east,2016-05-14,20,\nW1,east,2016-05-14,20,\n"}
    receipt = take_in(store, write_season(farm, {**fewer, **blank}), today=TODAY)
    (told,) = of(receipt, "walks.csv").revised
    assert (told.before, told.after) == ("collars 2", "collars not told")
    (walk,) = held(store, "walk")
    assert isinstance(walk, Walk)
    assert ([stop.fresh_cut_at for stop in walk.stops], len(walk.larvae)) == ([0, 1], 1)
    causes = {one.natural_key(): one.cover for one in held(store, "event") if isinstance(one, Event)}
    assert causes["event:north:::2016-04-10:weeds seen"] == "dense"


def test_either_column_of_larvae_tells_all_of_them(store: Store, farm: Path) -> None:
    """Larvae stand in two columns: only a file with neither says nothing of them."""
    now = {"walks.csv": "walk,field,date,places,instars\nW1,east,2016-05-14,20,\nW1,east,2016-05-14,20,5 6\n"}
    take_in(store, write_season(farm, now), today=TODAY)
    (walk,) = held(store, "walk")
    assert isinstance(walk, Walk)
    assert [(larva.length_mm, larva.instar) for larva in walk.larvae] == [(None, 5), (None, 6)]


def test_a_planting_date_told_by_an_event_counts_without_a_column_for_it(store: Store, farm: Path) -> None:
    """plantings.csv has no dates, the event has: the date held must not win over the one told."""
    changes = {
        "plantings.csv": "field,planting,hybrid\nnorth,1,Invented 1\n",
        "events.csv": "field,date,event\nnorth,2016-05-09,planted\n",
    }
    take_in(store, write_season(farm, changes), today=TODAY)
    dates = {one.id: one.planted for one in held(store, "planting") if isinstance(one, Planting)}
    assert dates["north/1"] == date(2016, 5, 9)


def test_a_short_file_is_held_against_the_days_in_the_store(store: Store, farm: Path) -> None:
    """The week's file comes in another unit: the weeks before know better."""
    rows = [f"{date(2016, 5, 12) + timedelta(days=k)},24,11" for k in range(4)]
    season = SEASON.replace("station.csv", "week.csv").replace('temperature_unit = "F"\n', "")
    write_season(farm, {"season.toml": season, "weather/week.csv": "date,max,min\n" + "\n".join(rows) + "\n"})
    receipt = take_in(store, farm, today=TODAY)
    assert of(receipt, "weather/week.csv").suspected == 1
    (told,) = [line for line in lines(receipt, "weather/week.csv") if line.startswith("suspected")]
    assert "weather/week.csv, median max = 24 F: the median would be -4.4 °C; the station's other days" in told
    assert "read as C it is 24.0 °C; all 4 days held back; if the unit is C: springwalk intake " in told
    with store.reading() as read:
        assert len(days(read, "TEST1")["TEST1"]) == len(weather().splitlines()) - 1


@pytest.mark.parametrize(
    ("more", "expected"),
    [
        ('capture_rule = "wing-7"\n', ["refused season.toml, season.capture_rule = wing-7: no such capture rule; it is not read; "
         "write one of: cone-17-in-1, wing-8-in-2, wing-9-in-2, or leave it out."]),
        ('state = "Nebraska"\n', ["note season.toml, season.state = Nebraska: no capture rule of this state is known here; the usual "
         "ones count (wing-8-in-2 and cone-17-in-1); nothing, or name a rule under capture_rule (cone-17-in-1, wing-8-in-2, "
         "wing-9-in-2); states with a rule: Iowa or IA, Illinois or IL, Indiana or IN, Michigan or MI, Minnesota or MN, Missouri or "
         "MO, Pennsylvania or PA, Wisconsin or WI."]),
        ('state = "ia"\n', []),
        ('state = "iowa"\n', []),
        ('state = "Nebraska"\ncapture_rule = "wing-9-in-2"\n', []),
    ],
)  # fmt: skip
def test_capture_rules_that_are_not_known(store: Store, tmp_path: Path, more: str, expected: list[str]) -> None:
    """A rule misspelt would be passed over in silence, and the flight dated by another."""
    season = SEASON.replace("year = 2016\n", f"year = 2016\n{more}")
    receipt = take_in(store, write_season(tmp_path / "farm", {"season.toml": season}), today=TODAY)
    assert [f"{one.severity} {one}" for one in of(receipt, "season.toml").faults] == expected
    assert of(receipt, "season.toml").new == 2


def test_a_person_is_one_line(store: Store, tmp_path: Path) -> None:
    """The name stands beside every entry."""
    with pytest.raises(BadValue) as caught:
        take_in(store, write_season(tmp_path / "farm"), today=TODAY, person="Wren\u202e")
    assert (
        str(caught.value)
        == r"person = Wren\u202e: holds a character that can't be printed (\u202e); type the text again."
    )
    assert store.counter == 0
