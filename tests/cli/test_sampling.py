"""The commands on counting plants: JSON and text against named values, and what each refuses."""

from __future__ import annotations

import json

import pytest

from tests.cli.conftest import Tell

DP = "exact dynamic programme, computed beforehand"


def test_stop_lines_as_json(tell: Tell) -> None:
    """A program reads the keys that were promised; values from the worked table of Wald's test and its exact odds."""
    said = tell("stop-lines", *["--p0", "0.02", "--p1", "0.05", "--alpha", "0.1", "--beta", "0.1", "--json"])
    assert (said.code, said.err) == (0, "")
    made = json.loads(said.out)
    assert made["slope"] == pytest.approx(0.03282, abs=5e-6)
    assert (made["lower_intercept"], made["upper_intercept"]) == pytest.approx((-2.3193, 2.3193), abs=5e-5)
    assert made["first_stop_n"] == 71
    assert list(made["asn"]) == list(made["oc"]) == ["p0", "slope", "p1"]
    assert list(made["asn"].values()) == pytest.approx([153.90, 195.48, 125.73], abs=0.005), DP
    assert (made["oc"]["p0"], made["oc"]["p1"]) == pytest.approx((0.9264, 0.1012), abs=5e-5), DP


def test_stop_lines_by_stops(tell: Tell) -> None:
    """One patch with five cut plants counts 1.4 where independent plants would count 4.1 (computed beforehand)."""
    words = ["--p0", "0.02", "--p1", "0.05", "--plants-per-stop", "20", "--json", "--rho"]
    clumped, alone = (json.loads(tell("stop-lines", *words, rho).out)["increments"] for rho in (0.05, 0))
    assert (clumped[5], alone[5]) == pytest.approx((1.4, 4.1), abs=0.05)


def test_an_end_is_inside_the_odds(tell: Tell) -> None:
    """With --n-max no mean can be beyond it, and the text says what decides there."""
    made = json.loads(tell("stop-lines", *["--p0", "0.02", "--p1", "0.05", "--n-max", "100", "--json"]).out)
    assert max(made["asn"].values()) < 100
    text = tell("stop-lines", *["--p0", "0.02", "--p1", "0.05", "--n-max", "100"]).out
    assert "at 100 plants the side of 0.0328 × plants decides\n" in text


@pytest.mark.slow
def test_stop_lines_as_text(tell: Tell) -> None:
    """A person reads lines, first stop and odds; every number with its unit."""
    said = tell("stop-lines", *["--p0", "0.02", "--p1", "0.05"])
    assert said.out.splitlines() == [
        "lower line: −2.3193 + 0.0328 × plants",
        "upper line: 2.3193 + 0.0328 × plants",
        "none damaged: stop at 71 plants",
        "if 2.00 % are damaged: 153.9 plants on average, ends below 92.6 % of the time",
        "if 3.28 % are damaged: 195.5 plants on average, ends below 53.1 % of the time",
        "if 5.00 % are damaged: 125.7 plants on average, ends below 10.1 % of the time",
    ]
    two = ["--p0", 0.02, "--p1", 0.05, "--plants-per-stop", 2, "--rho", 0.05]
    by_stop = tell("stop-lines", *two).out.splitlines()
    assert by_stop[7] == "by stops of 2 plants, rho 0.050: add for each stop, by its damaged plants"
    assert [line.split()[0] for line in by_stop[8:11]] == ["0", "1", "2"]
    assert by_stop[11] == "below at −2.1972 or less, above at 2.1972 or more"
    assert by_stop[13].startswith("if 2.00 % are damaged: ")
    assert " stops on average" in by_stop[13]
    ended = tell("stop-lines", *two, "--n-max", 41).out.splitlines()
    assert "at 20 stops the sum decides: 0 or more is above" in ended


def test_interval_as_json(tell: Tell) -> None:
    """Three of a hundred (computed beforehand), and another level on request."""
    made = json.loads(tell("interval", *["--x", "3", "--n", "100", "--json"]).out)
    assert made["wilson"] == pytest.approx([0.0103, 0.0845], abs=5e-5)
    assert made["exact"] == pytest.approx([0.0062, 0.0852], abs=5e-5)
    assert made["jeffreys"] == pytest.approx([0.0085, 0.0779], abs=5e-5)
    at_90 = json.loads(tell("interval", *["--x", "5", "--n", "250", "--level", "0.9", "--json"]).out)
    assert at_90["exact"] == pytest.approx([0.008, 0.042], abs=5e-4)


def test_interval_as_text(tell: Tell) -> None:
    """The share seen, the level, and each interval under its name."""
    assert tell("interval", *["--x", "3", "--n", "100"]).out.splitlines() == [
        "3.0 % of 100 plants; 95 % intervals",
        "1.03 to 8.45 %   Wilson",
        "0.62 to 8.52 %   exact (Clopper–Pearson)",
        "0.85 to 7.79 %   Jeffreys",
    ]
    assert "; 99.9 % intervals" in tell("interval", *["--x", "3", "--n", "100", "--level", "0.999"]).out


PENN = "--cost 15 --yield 135 --price 3 --loss-per-pest 0.059 --control 0.72"


def test_injury_level_as_json(tell: Tell) -> None:
    """Exact .872 larvae a plant; the sheet prints .88 (Penn State, table 14)."""
    made = json.loads(tell("injury-level", *PENN.split(), "--json").out)
    assert made["per_plant"] == pytest.approx(0.87187, abs=5e-6)
    assert made["worksheet"] == 0.88


def test_injury_level_as_text(tell: Tell) -> None:
    """The sheet line by line; what is lost is called a loss."""
    lines = tell("injury-level", *PENN.split()).out.splitlines()
    assert lines[0] == "0.872 pests per plant pay for the treatment (exact)"
    assert lines[1] == "0.88 by the worksheet, for 0.60 per plant:"
    assert lines[-1] == "  cost over what is saved 1.47; loss 4.79"
    more = tell("injury-level", *PENN.split(), "--pests-per-plant", 2).out.splitlines()
    assert "; gain " in more[-1]


# command line, text on stderr, exit code
BAD = [
    ("stop-lines --p0 0.05 --p1 0.02", "p0 = 0.05: must be below p1 = 0.02; swap or correct the two.", 3),
    ("stop-lines --p0 2 --p1 5", "p0 = 2: must be above 0 and below 1; give a share, like 0.02 for 2 of 100.", 3),
    ("stop-lines --p0 0.02 --p1 0.05 --alpha 0.6 --beta 0.5", "alpha + beta = 1.1: must be below 1;", 3),
    ("stop-lines --p0 0.02 --p1 0.02001", "p1 = 0.02001: with p0 = 0.02 some", 3),
    ("stop-lines --p0 0.02 --p1 0.05 --n-max 0", "n_max = 0 plants: outside 1 … 10,000;", 3),
    ("stop-lines --p0 0.02 --p1 0.05 --rho 0.1", "plants_per_stop = (not given): plants per stop and rho go", 3),
    ("stop-lines --p0 0.02 --p1 0.05 --plants-per-stop 20 --rho 1", "rho = 1: must be at least 0 and below 1;", 3),
    ("stop-lines --p0 0.02", "Missing option '--p1'", 2),
    ("interval --x 4 --n 3", "x = 4 plants: above n = 3; swap or correct the two.", 3),
    ("interval --x -1 --n 3", "x = -1 plants: below 0; give the number found.", 3),
    ("interval --x 0 --n 0", "n = 0 plants: outside 1 … 1,000,000,000;", 3),
    ("interval --x 1 --n 3 --level 95", "level = 95: must be above 0 and below 1;", 3),
    ("interval --x 1.5 --n 3", "Invalid value for '--x'", 2),
    (f"injury-level {PENN} --control 72", "control = 72: must be above 0 and at most 1; give a share", 3),
    (f"injury-level {PENN} --cost 0", "cost = 0: must be above 0; check the number.", 3),
    (f"injury-level {PENN} --price nan", "price = nan: must be above 0; check the number.", 3),
]


@pytest.mark.parametrize(("words", "told", "code"), BAD)
def test_bad_input_is_told_in_one_line(tell: Tell, words: str, told: str, code: int) -> None:
    """Bad input gets one line that says what is wrong and what to do, and its own exit code."""
    said = tell(*words.split())
    assert told in said.err
    assert "Traceback" not in said.err
    assert (said.code, said.out) == (code, "")
