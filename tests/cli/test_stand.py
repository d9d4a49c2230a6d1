"""The stand and replant commands: the keys scripts rely on, the words people read, and what bad input is told."""

from __future__ import annotations

import json

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
]
REST = REPLANT.format(18_000).removeprefix("--planted 04-25 ")


@pytest.mark.parametrize(("line", "told", "code"), BAD)
def test_bad_input_is_told(tell: Tell, line: str, told: str, code: int) -> None:
    """One line, its own exit code, nothing on stdout."""
    said = tell(*line.format(REST).split())
    assert told in said.err
    assert "Traceback" not in said.err
    assert (said.code, said.out) == (code, "")
