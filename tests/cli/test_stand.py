"""The stand, replant and replanted commands: keys for scripts, words for people, and what bad input is told."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.conftest import Tell

STAND = ("stand", "--row-width", "30in", "--counts", "29,31,28,33,30")
REPLANT = "--planted 04-25 --stand {} --replant-on 05-20 --replant-stand 30000 --yield 180 --price 4.5 --cost 60"
POLICY = "--history 180 --coverage 0.8 --projected-price 4.66 --share 1"


def _replant(stand: int, more: str = "") -> list[str]:
    return ["replant", *REPLANT.format(stand).split(), *more.split()]


def test_stand_in_a_thousandth_of_an_acre(tell: Tell) -> None:
    """A mean count of 30.2 in 1/1000 acre is 30 200 per acre; the keys are fixed."""
    result = json.loads(tell(*STAND, "--json").out)
    assert list(result) == ["plants_per_acre", "plants_per_ha", "interval_80", "more_counts_for_5_percent"]
    assert result["plants_per_acre"] == pytest.approx(30_200)
    assert result["plants_per_ha"] == pytest.approx(30_200 * 2.47105, rel=1e-5)
    low, high = result["interval_80"]
    assert low < 30_200 < high
    assert result["more_counts_for_5_percent"] == 2


def test_stand_by_length_told(tell: Tell) -> None:
    """The card's 17 ft 5 in is short of 1/1000 acre by 0.05 %, and any length may be told."""
    short = json.loads(tell(*STAND, "--length", "17ft5in", "--json").out)
    assert short["plants_per_acre"] == pytest.approx(30_200 * 17.424 / (17 + 5 / 12))
    double = json.loads(tell(*STAND, "--length", "34.848ft", "--json").out)
    assert double["plants_per_acre"] == pytest.approx(15_100, abs=0.01)


def test_stand_in_words(tell: Tell) -> None:
    """What is read in the truck: the stand with its range, and whether to count on."""
    said = tell(*STAND)
    assert said.code == 0
    first, second, third = said.out.splitlines()
    assert first == "30,200 (28,881–31,519) plants per acre"
    assert second == "74,626 plants per ha"
    assert third == "two more counts for a mean within 5 %"
    assert "enough counts" in tell("stand", "--row-width", "30in", "--counts", ",".join(["30"] * 12)).out


def test_replant_keys(tell: Tell) -> None:
    """Scripts rely on these names."""
    result = json.loads(tell(*_replant(14_000, POLICY), "--json").out)
    assert {"tables", "insurance", "advice"} <= set(result)
    keys = ["name", "now_percent", "replant_percent", "gain_bu_ac", "gain_usd_ac"]
    assert all(list(row) == keys for row in result["tables"])
    assert len(result["tables"]) > 3
    assert result["insurance"]["pays"] is False
    assert json.loads(tell(*_replant(14_000), "--json").out)["insurance"] is None


WORDS = [
    (10_000, POLICY, "call the insurer first   ("),
    (10_000, "", "replant   ("),
    (14_000, POLICY, "insurance: no payment, appraised at 142.2 bu, paid below 129.6 bu"),
    (10_000, POLICY, "insurance: 37.28 US$ per acre, appraised at 122.4 bu, paid below 129.6 bu"),
    (18_000, "", "too close to say   (gain by replanting −64 to 92 US$ per acre over the tables)"),
    (24_000, "", "keep   ("),
    (15_500, "--seed 40", "seed free: replant ("),
    (15_500, "--seed 40", "seed at full price: too close to say ("),
    (18_000, "--ready-from 05-17 --wait 2,1,6,0", "Replanting cannot start before 05-26"),
    (18_000, "--hybrid-need 2700 --heat-to-frost 2600,2400", "ripe before frost in 50 % of the years given"),
    (14_000, POLICY + " --terms 1,10,0.05", "insurance: 33.55 US$ per acre"),
    (18_000, "--state IA", "  Iowa PM-1885, reprinted to 2009: now 78 %"),
]


@pytest.mark.parametrize(("stand", "options", "told"), WORDS)
def test_replant_in_words(tell: Tell, stand: int, options: str, told: str) -> None:
    """Advice first, then each table, the seed, the insurer and the notes."""
    said = tell(*_replant(stand, options))
    assert (said.code, said.err) == (0, "")
    assert told in said.out


# command, text on stderr, exit code
BAD = [
    ("stand --row-width 30in --counts 29,x", "counts = 29,x: not numbers with commas between; write them like 29", 3),
    ("stand --row-width 30in --counts 0", "counts = 0: no plant was counted; there is no stand;", 3),
    ("stand --row-width 30F --counts 29", "row-width = 30F: unit 'F' does not fit; use one of: m, cm, mm, in, ft.", 3),
    ("stand --row-width 30ft --counts 29", "row-width = 9.144 m: outside 0.1 … 2 m; check the number and its unit.", 3),
    ("stand --row-width 30 --counts 29 --length 17", "length = 0.4318 m: outside 0.5 … 500 m; check the number", 3),
    ("stand --row-width 30", "Missing option '--counts'", 2),
    ("replant --planted 0425 {}", "planted = '0425': not a day of the year; write it like 04-25.", 3),
    ("replant --planted 13-01 {}", "planted = '13-01': not a day of the year; write it like 04-25.", 3),
    ("replant --planted 04-25 {} --wait 1,2,3,4", "ready-from = (not given): the days to wait begin on it;", 3),
    ("replant --planted 04-25 {} --ready-from 05-10 --wait 1,2", "wait = 1,2: not 4 numbers with commas between;", 3),
    ("replant --planted 04-25 {} --history 180", "coverage = (not given): a policy's payment is worked from it;", 3),
    ("replant --planted 04-25 {} --terms 0.9,8,0.2", "history = (not given): a policy's payment is worked", 3),
    ("replant --planted 04-25 {} --pattern rows", "pattern = rows: no such pattern of loss; use one of even,", 3),
    ("replant --planted 04-25 {} --state ZZ", "state = ZZ: not a state we know;", 3),
    ("replant {}", "planted = (not given): is needed where no field of the store is named; type --planted, or name", 3),
    (
        "replant --planted 04-25",
        "stand = (not given): is needed where no field of the store is named; type --stand,",
        3,
    ),
    ("replant --planted 04-25 {} --part low", "part = low: goes with --field only; name the field too.", 3),
    ("replant --planted 04-25 {} --kill-days 2", "kill-days = 2.0: goes with --field only; name the field too.", 3),
    ("replant --planted 04-25 {} --stand low=9000", "stand = low=9000: goes with --field only; name the field too.", 3),
    (
        "replant --planted 04-25 {} --stand 9000",
        "stand = 9000: this part has a stand already; give one for each part.",
        3,
    ),
    (
        "replant --planted 04-25 {} --stand low=x",
        "stand = low=x: not plants per acre; write it like 18000, or low=14",
        3,
    ),
    ("replant --planted 04-25 {} --guarantee 144", "history = (not given): a policy's payment is worked from it;", 3),
    (
        "replant --planted 04-25 {} --guarantee 144 --appraised 120",
        "projected-price = (not given): a policy's payment is worked from it; type it from the policy.",
        3,
    ),
    (
        f"replant --planted 04-25 {{}} {POLICY} --area-rule 20,0.2,150",
        "area-rule = 20,0.2,150: goes with --field only;",
        3,
    ),
]
REST = REPLANT.format(18_000).removeprefix("--planted 04-25 ")


@pytest.mark.parametrize(("line", "told", "code"), BAD)
def test_bad_input_is_told(tell: Tell, line: str, told: str, code: int) -> None:
    """One line, its own exit code, nothing on stdout."""
    said = tell(*line.format(REST).split())
    assert told in said.err
    assert "Traceback" not in said.err
    assert (said.code, said.out) == (code, "")


# Of a field of the store

OF_FIELD = "replant --field north --stand 13000 --cost 60 --today 2016-05-17"


def test_replant_of_a_field_needs_little_typed(tell: Tell, taken: Path) -> None:
    """The keys of a typed case are there too, and what the store tells beside them."""
    result = json.loads(tell(*OF_FIELD.split(), "--json").out)
    assert {"tables", "insurance", "advice"} <= set(result)
    keys = ["name", "now_percent", "replant_percent", "gain_bu_ac", "gain_usd_ac"]
    assert all(list(row) == keys for row in result["tables"])
    (part,) = result["parts"]
    assert (part["planted"], part["planting"], part["stand"]) == ("2016-05-05", "north/1", 13_000)
    assert result["assumed"] == ["crop", "price"]
    assert result["ready"]["today"] == "2016-05-17"


def test_replant_of_a_field_in_words(tell: Tell, taken: Path) -> None:
    """The answer, the insurer, the earliest day, the larvae and the cautions, each once."""
    said = tell(*OF_FIELD.split(), "--kill-days", "1", "--label-days", "6", "--queue-days", "0")
    assert (said.code, said.err) == (0, "")
    lines = said.out.splitlines()
    assert lines[0].startswith("The north field: ")
    assert lines[1].startswith("Call the insurer before the stand is destroyed")
    assert any(line.startswith("Earliest real day: 24 May. From 17 May: ") for line in lines)
    assert any(line.strip().startswith("Larvae still there, expected to cut ") for line in lines)
    assert "Frost risk is not counted: the hybrid's need is not typed." in lines
    assert sum("label is the law" in line for line in lines) == 1


def test_typed_terms_put_the_insurer_first(tell: Tell, taken: Path) -> None:
    """The first line a grower reads."""
    said = tell(*OF_FIELD.split(), *POLICY.split(), "--area-rule", "20,0.2,160")
    assert said.out.startswith("Insurer first: ")


FIELD_BAD = [
    ("--wait 1,2,3,4", "wait = 1,2,3,4: does not go with --field; type --kill-days, --label-days and --queue-days."),
    ("--ready-from 05-10", "ready-from = 05-10: does not go with --field; type --kill-days,"),
    ("--planted 99-99", "planted = '99-99': not a day of the year; write it like 04-25."),
    ("--part low", "part = low: no part of the field is called so; "),
    ("--stand low=1", "stand = low: no part of the field is called so; "),
]


@pytest.mark.parametrize(("options", "told"), FIELD_BAD)
def test_bad_input_of_a_field_is_told(tell: Tell, taken: Path, options: str, told: str) -> None:
    """One line, nothing on stdout."""
    said = tell(*OF_FIELD.split(), *options.split())
    assert told in said.err
    assert (said.code, said.out) == (3, "")


def test_replant_of_an_unknown_field(tell: Tell, taken: Path) -> None:
    """The nearest id is offered."""
    said = tell("replant", "--field", "noth", "--stand", "9000", "--cost", "60", "--today", "2016-05-17")
    assert (said.code, said.out) == (6, "")
    assert "did you mean north" in said.err


# After it

REPLANTED = "replanted north --date 2016-05-17 --torn-up 2016-05-16 --rate 32000 --today 2016-05-17"


def test_replanted_is_told_once_and_undone_once(tell: Tell, taken: Path) -> None:
    """One receipt with the look for the new spike, one undo for the tear-up and the planting."""
    said = tell(*REPLANTED.split(), "--hybrid", "Invented 9")
    assert said.code == 0
    assert said.out.startswith(
        "Planting (Invented 9) on 17 May noted at The north field. The stand before it is told torn up on 16 May. Look "
    )
    sheet = json.loads(tell("sheet", "--today", "2016-05-17", "--json").out)
    row = next(one for one in (*sheet["rows"], *sheet["rest"]) if one["field"] == "north")
    assert [part["planted"] for part in row["parts"]] == ["2016-05-17"]
    assert "spike_check" in [look["code"] for look in row["looks"]]
    again = tell(*REPLANTED.split())
    assert again.out.startswith(
        "Planting (Invented 9) on 17 May was noted at The north field already. Nothing changed."
    )
    entry = said.err.rsplit(" ", 1)[1].strip()
    back = tell("undo", entry)
    assert back.out.startswith("Taken back: planting (Invented 9) on 17 May at The north field.")
    sheet = json.loads(tell("sheet", "--today", "2016-05-17", "--json").out)
    row = next(one for one in (*sheet["rows"], *sheet["rest"]) if one["field"] == "north")
    assert [part["planted"] for part in row["parts"]] == ["2016-05-05"]


def test_replanted_in_json(tell: Tell, taken: Path) -> None:
    """What a program reads of the receipt."""
    result = json.loads(tell(*REPLANTED.split(), "--json").out)
    assert (result["key"], result["put"], result["said"]["code"]) == ("planting:north/2", "new", "entered_planting")
    assert (result["said"]["facts"]["torn_up"], result["said"]["facts"]["date"]) == ("2016-05-16", "2016-05-17")
    inter = json.loads(tell(*["replanted", "south", "--interplanted", "--today", "2016-05-17", "--json"]).out)
    assert inter["said"]["facts"]["torn_up"] is None


REPLANTED_BAD = [
    ("--interplanted", "torn-up = 2016-05-16: the old plants stay (--interplanted); leave one of the two out."),
    ("--rate 32,000", "rate = 32,000: a number can't hold a thousands comma; write 32000."),
    (
        "--torn-up 2016-05-04",
        "date = 2016-05-04: not after the stand there was planted (2016-05-05); correct the date,",
    ),
    ("--date soon", "date = 'soon': not a date; write it like 2016-05-17."),
]


@pytest.mark.parametrize(("options", "told"), REPLANTED_BAD)
def test_bad_replanted_is_told(tell: Tell, taken: Path, options: str, told: str) -> None:
    """Nothing is kept of a slip."""
    said = tell(*REPLANTED.split(), *options.split())
    assert told in said.err
    assert (said.code, said.out) == (3, "")
