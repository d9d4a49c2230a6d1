"""The commands that make and keep a season: start, intake, backup, restore, demo."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from springwalk.jobs import take_in as take_in_module
from tests.cli.conftest import Said, Tell
from tests.seasons import PLANTINGS, SEASON, weather, write_season

INTAKE = ("intake", "farm", "--today", "2016-05-17")


@pytest.fixture
def farm(tmp_path: Path) -> Path:
    """The small season folder, beside where commands run."""
    return write_season(tmp_path / "farm")


def clean(said: Said) -> Said:
    """The same answer, after checking that no traceback is in it."""
    assert "Traceback" not in said.out + said.err
    return said


def test_start_makes_a_folder_that_intake_takes(tell: Tell, tmp_path: Path) -> None:
    """The first two commands of a stranger must fit together."""
    said = clean(tell("start", "mine", "--year", 2016, "--name", "Our corn"))
    assert (said.code, said.out) == (0, "")
    assert "Fill in mine/season.toml first, then: springwalk intake mine" in said.err
    assert 'name = "Our corn"' in (tmp_path / "mine" / "season.toml").read_text(encoding="utf-8")
    taken = clean(tell("intake", "mine", "--today", "2016-05-17"))
    assert taken.code == 0, taken.out + taken.err


def test_start_writes_over_nothing(tell: Tell, farm: Path) -> None:
    """A second start must not cost anyone the facts they typed in."""
    before = (farm / "season.toml").read_bytes()
    said = clean(tell("start", "farm"))
    assert said.code == 4
    assert "is there already and is never overwritten" in said.err
    assert (farm / "season.toml").read_bytes() == before


def test_start_wants_a_year_of_a_season(tell: Tell, tmp_path: Path) -> None:
    """A slip in the year is told before a folder is made."""
    said = clean(tell("start", "mine", "--year", 16))
    assert (said.code, said.err) == (3, "year = 16: outside 1950 … 2100; give the year of the season.\n")
    assert not (tmp_path / "mine").exists()


def test_intake_prints_a_line_a_file(tell: Tell, farm: Path) -> None:
    """A person must see at a glance what each file gave, and where it went."""
    said = clean(tell(*INTAKE))
    assert said.code == 0
    lines = said.out.splitlines()
    assert lines[0].split() == ["file", "rows", "left", "out", "suspected", "new", "same", "revised"]
    assert "fields.geojson 3 0 0 3 0 0" in [" ".join(line.split()) for line in lines]
    assert lines[-1] == "Taken into season.db."
    again = clean(tell(*INTAKE))
    assert again.out.splitlines()[-1] == "Taken into season.db. Nothing was new."


def test_intake_lists_faults_in_full_and_says_so_by_its_code(tell: Tell, farm: Path) -> None:
    """Scripts must see that rows were left out, and people which and what to do."""
    write_season(farm, {"plantings.csv": PLANTINGS + "nort,1,2016-05-01,Invented 3\n"})
    said = clean(tell(*INTAKE))
    assert said.code == 9
    told = said.out.split("Left out:\n")[1].splitlines()[0]
    assert told.startswith("  plantings.csv, row 5, column field = nort: ")
    assert "did you mean 'north'" in told


def test_intake_lists_revisions_with_both_values(tell: Tell, farm: Path) -> None:
    """A corrected date must be seen by whoever takes it in."""
    tell(*INTAKE)
    write_season(farm, {"plantings.csv": PLANTINGS.replace("2016-05-05", "2016-05-06")})
    said = clean(tell(*INTAKE))
    assert said.code == 0
    assert "\n    revised planting:north/1: planted 2016-05-05 → planted 2016-05-06\n" in said.out


def test_intake_folds_many_revisions(tell: Tell, farm: Path) -> None:
    """A re-issued weather file must not scroll the faults away; JSON holds them all."""
    tell(*INTAKE)
    write_season(farm, {"weather/station.csv": weather().replace(",0.4\n", ",0.5\n").replace(",0\n", ",0.1\n")})
    said = clean(tell(*INTAKE))
    assert "  … and 57 more; --json lists them all" in said.out
    write_season(farm)
    plain = json.loads(tell(*INTAKE, "--json").out)
    (file,) = [each for each in plain["files"] if each["name"] == "weather/station.csv"]
    assert len(file["revised"]) == 77


def test_celsius_read_as_fahrenheit_is_held_back_until_repaired(tell: Tell, farm: Path) -> None:
    """The suspicion names the one command that repairs it, and that command works."""
    lines = weather().splitlines()
    rows = [line.split(",") for line in lines[1:]]
    celsius = [f"{day},{(float(high) - 32) / 1.8:.1f},{(float(low) - 32) / 1.8:.1f},0" for day, high, low, _ in rows]
    write_season(farm, {"weather/station.csv": "\n".join([lines[0], *celsius])})
    said = clean(tell(*INTAKE))
    assert said.code == 9
    command = "springwalk intake farm --today 2016-05-17 --repair weather/station.csv:unit=C"
    assert command in said.out
    repaired = clean(tell(*command.split()[1:]))
    assert repaired.code == 0, repaired.out
    assert "weather/station.csv 77 0 0 77 0 0" in [" ".join(line.split()) for line in repaired.out.splitlines()]


# the folder's change or the words after intake, text on stderr, exit code
BAD = [
    (("intake", "nowhere"), "folder = nowhere: there is no such folder; ", 4),
    (("intake", "."), "folder = .: season.toml is not in it; ", 4),
    (("intake", "farm", "--repair", "station.csv"), "repair = station.csv: names no file or no repair; write FILE:", 3),
    (("intake", "farm", "--repair", "weather/station.csv:unit=K"), "repair unit = K: not a temperature unit; ", 3),
    (("intake", "farm", "--today", "17.5.2016"), "today = '17.5.2016': not a date; write it like 2016-05-17.", 3),
    (("intake", "farm", "--store", "no/such/place.db"), "store = no/such/place.db: ", 5),
    (("intake", "farm", "--store", "farm/season.toml"), "store = farm/season.toml: ", 5),
    (("intake",), "Missing argument", 2),
    (("backup", "b.zip"), "store = season.db: there is no such store; take a folder in first: springwalk intake", 5),
    (("restore", "b.zip"), "backup = b.zip: there is no such file; check the path.", 4),
    (("restore", "farm/season.toml"), "backup = farm/season.toml: ", 4),
]


@pytest.mark.parametrize(("words", "told", "code"), BAD)
def test_bad_words(tell: Tell, farm: Path, words: tuple[str, ...], told: str, code: int) -> None:
    """Each way to go wrong has one line, one exit code, and leaves no store behind."""
    said = clean(tell(*words))
    assert told in said.err
    assert (said.code, said.out) == (code, "")
    assert not (farm.parent / "season.db").exists()


def test_another_season_needs_another_store(tell: Tell, farm: Path) -> None:
    """A store holds one season; last year's folder is refused by a line."""
    tell(*INTAKE)
    write_season(farm, {"season.toml": SEASON.replace("year = 2016", "year = 2015")})
    said = clean(tell(*INTAKE))
    assert said.code == 3
    assert said.err.startswith("year = 2015: this store holds the season 2016; ")


def test_backup_and_restore_give_the_same_store(tell: Tell, farm: Path) -> None:
    """What was taken in must survive the loss of the machine."""
    tell(*INTAKE)
    saved = clean(tell("backup", "b.zip"))
    assert (saved.code, saved.out) == (0, "")
    assert saved.err.startswith("Wrote b.zip: ")
    restored = clean(tell("restore", "--store", "other.db", "b.zip"))
    assert restored.code == 0
    assert restored.err.startswith("Restored other.db: ")
    again = clean(tell(*INTAKE, "--store", "other.db"))
    assert again.out.splitlines()[-1] == "Taken into other.db. Nothing was new."


def test_restore_never_writes_over_a_store(tell: Tell, farm: Path) -> None:
    """A restore into the wrong place must not cost a season."""
    tell(*INTAKE)
    tell("backup", "b.zip")
    said = clean(tell("restore", "b.zip"))
    assert said.code == 4
    assert said.err.startswith("store = season.db: ")


def test_store_from_the_environment(tell: Tell, farm: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """--store goes before the environment, the environment before ./season.db."""
    monkeypatch.setenv("SPRINGWALK_STORE", "from_environment.db")
    assert tell(*INTAKE).out.splitlines()[-1] == "Taken into from_environment.db."
    assert tell(*INTAKE, "--store", "told.db").out.splitlines()[-1] == "Taken into told.db."
    assert not (farm.parent / "season.db").exists()


def test_a_fault_of_ours_is_one_line(tell: Tell, farm: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Even a bug must not throw a traceback at a person; the environment can ask for it."""

    def broken(*_: object, **__: object) -> None:
        raise RuntimeError("a bug\nof ours")

    monkeypatch.setattr(take_in_module, "read_folder", broken)
    said = clean(tell(*INTAKE))
    told = "springwalk failed (RuntimeError: a bug of ours), please report it; SPRINGWALK_DEBUG=1 shows where.\n"
    assert (said.code, said.err) == (1, told)
    monkeypatch.setenv("SPRINGWALK_DEBUG", "1")
    shown = tell(*INTAKE)
    assert shown.code == 1
    assert "Traceback" in shown.err


def test_ctrl_c_is_130(tell: Tell, farm: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A command that is stopped says nothing and ends as shells expect."""

    def stopped(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(take_in_module, "read_folder", stopped)
    said = clean(tell(*INTAKE))
    assert said.code == 130


def test_version_and_unknown_command(tell: Tell) -> None:
    """The two things typed first on a new machine."""
    said = tell("--version")
    assert said.code == 0
    assert said.out.startswith("springwalk 0.")
    wrong = clean(tell("shet"))
    assert wrong.code == 2
    assert "No such command 'shet'" in wrong.err
