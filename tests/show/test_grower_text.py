"""Three lines for the grower: what to do, why, and the label and the adviser wherever it treats."""

from __future__ import annotations

import re
from datetime import date
from typing import Any, get_args

import pytest

from springwalk.jobs.advised import FieldAdvice, Verdict
from springwalk.show.grower_text import CAUTION, grower_text, part_answers
from tests.show.test_advice_words import LEAVE, MAY_24, RULE, field, part

SPRAY = LEAVE.model_copy(update={"kind": "spray", "cost_per_ha": 39.5, "lost_per_ha": 60.0, "bad_tenth_per_ha": 99.0})
SPRAY = SPRAY.model_copy(update={"odds_best": 0.97})
OPTIONS = (SPRAY, SPRAY.model_copy(update={"kind": "ride along"}), LEAVE)


@pytest.mark.parametrize(
    ("verdict", "lines"),
    [
        ("spray", ["Home, 24 May: spray on 24 May, in the evening, 24.7 acres (best in 97 of 100 cases by our"
                   " reckoning).",
                   "Black cutworm, seen 24 May: 4 % of 100 plants cut, one larva found. Expected loss an acre: $36 (in"
                   " a bad case $81) if left, $24 (in a bad case $40) if treated, all in.", CAUTION]),
        ("ride along", ["Home, 24 May: let it ride along with the pass on 24 May, 24.7 acres (best in 97",
                        "Black cutworm, seen 24 May: ", CAUTION]),
        ("look again", ["Home, 24 May: don't spray yet: look again at dusk on 24 May.",
                        "Black cutworm, seen 24 May: 4 % of 100 plants cut, one larva found.",
                        "Nothing is sprayed on this yet; before anyone does, the label and your licensed adviser come"
                        " first."]),
        ("come back", ["Home, 24 May: leave it today and look once more on 24 May.", "Black cutworm, seen 24 May: ",
                       "I look again on 24 May and tell you."]),
        ("leave", ["Home, 24 May: leave it alone (best in 20 of 100 cases by our reckoning).",
                   "Black cutworm, seen 24 May: ", "Nothing to do now. Call me if you see plants freshly cut."]),
    ],
)  # fmt: skip
def test_three_lines_of_plain_words(verdict: str, lines: list[str]) -> None:
    """What, why, and what comes with it; a tired grower reads the first line."""
    said = grower_text(field(part(verdict, options=OPTIONS))).splitlines()
    assert len(said) == 3
    for line, begins in zip(said, lines, strict=True):
        assert line.startswith(begins)


def test_every_treatment_points_to_label_and_adviser() -> None:
    """A text that asks for a pass and leaves them out could hurt someone."""
    for verdict in get_args(Verdict):
        for parts in ([part(verdict)], [part("leave", name="a"), part(verdict, name="b")]):
            said = grower_text(field(*parts))
            treats = verdict in ("spray", "ride along")
            assert ("product label is the law" in said) is treats, verdict
            assert ("licensed adviser" in said) is (treats or verdict == "look again"), verdict


CORNER = part("spray", name="low corner", percent_cut=11.0, options=OPTIONS)
LATER = part(
    "spray", name="north end", on=date(2016, 5, 26), options=(SPRAY.model_copy(update={"on": date(2016, 5, 26)}), LEAVE)
)
ODDS = " (best in 97 of 100 cases by our reckoning)"


@pytest.mark.parametrize(
    ("told", "first"),
    [
        (field(CORNER, part("leave"), what="part", treat=("low corner",)),
         f"low corner (24.7 acres): spray on 24 May, in the evening{ODDS}. Nothing on the other parts now."),
        (field(CORNER, LATER, what="whole"),
         f"low corner (24.7 acres): spray on 24 May, in the evening{ODDS}; north end"
         f" (24.7 acres): spray on 26 May, in the evening{ODDS}."),
        (field(CORNER, part("spray", options=OPTIONS), what="whole"),
         f"spray on 24 May, in the evening, 49.4 acres{ODDS}."),
        (field(part("leave"), part("look again", name="low corner")),
         "in low corner, don't spray yet: look again at dusk on 24 May."),
        (field(part("leave"), part("leave", name="low corner")),
         "leave it alone (best in 20 of 100 cases by our reckoning)."),
    ],
)  # fmt: skip
def test_parts_are_named_where_they_differ(told: FieldAdvice, first: str) -> None:
    """Only the corner: its name, and that nothing is done elsewhere."""
    assert grower_text(told).splitlines()[0] == f"Home, 24 May: {first}"


def test_no_number_stands_without_its_unit() -> None:
    """What is read aloud in a truck must say of what it speaks: dollars an acre, per cent of plants, larvae, a day."""
    known = r"\d+ May|\$\d+|\d+ %|\d+ plants|[\d.]+ acres|\d+ of 100 cases"
    for verdict in get_args(Verdict):
        said = grower_text(field(part(verdict, options=OPTIONS)))
        assert not re.search(r"\d", re.sub(known, "", said)), said
        assert "$" not in said or "loss an acre" in said
        assert max(len(line) for line in said.splitlines()) <= 180


@pytest.mark.parametrize(
    ("told", "seen"),
    [
        ({"larvae_found": 3, "larvae_mm": (13.0, 15.0, 14.0)},
         "Black cutworm, seen 24 May: 4 % of 100 plants cut, three larvae found, 0.5–0.6 in. long."),
        ({"larvae_found": 1, "larvae_mm": (25.4,)},
         "Black cutworm, seen 24 May: 4 % of 100 plants cut, one larva found, 1.0 in. long."),
        ({"larvae_found": None}, "Black cutworm, seen 24 May: 4 % of 100 plants cut, not searched for larvae lately."),
        ({"reasons": ("not from this flight",)}, "A cutworm, perhaps not of this flight, seen 24 May: 4 % of 100 plants"
                                                 " cut, one larva found."),
    ],
)  # fmt: skip
def test_which_insect_and_how_large(told: dict[str, Any], seen: str) -> None:
    """The grower asks what it is and how big: the insect is named, and not more surely than it is known."""
    assert grower_text(field(part("leave", **told))).splitlines()[1] == seen


def test_the_state_s_rule_is_said_where_it_differs() -> None:
    """A grower who has the state's leaflet in his truck must hear from us first that it says something else."""
    other = " Your state's printed rule says wait."
    assert grower_text(field(part("spray", options=OPTIONS, rule=RULE))).splitlines()[0].endswith(f"{ODDS}.{other}")
    for agrees in (True, None):
        same = RULE.model_copy(update={"agrees": agrees})
        assert "printed rule" not in grower_text(field(part("spray", options=OPTIONS, rule=same)))
    treat = part("leave", rule=RULE.model_copy(update={"says": "treat"}))
    two = field(CORNER.model_copy(update={"rule": RULE}), treat, what="part", treat=("low corner",))
    assert (
        grower_text(two)
        .splitlines()[0]
        .endswith(" Your state's printed rule says wait for low corner and says treat for the rest.")
    )
    one = field(CORNER.model_copy(update={"rule": RULE}), part("leave"), what="part", treat=("low corner",))
    assert grower_text(one).splitlines()[0].endswith(" Your state's printed rule says wait for low corner.")


def test_no_odds_where_the_answer_does_not_rest_on_them() -> None:
    """Left alone because no live larva was found: the odds of leaving it would say the opposite."""
    for reason in ("no live larvae", "nothing fresh"):
        assert grower_text(field(part("leave", reasons=(reason,)))).startswith("Home, 24 May: leave it alone.\n")


def test_odds_of_several_parts_are_the_least() -> None:
    """One sentence for two parts must not promise the second what holds of the first."""
    less = tuple(one.model_copy(update={"odds_best": 0.6}) if one.kind == "spray" else one for one in OPTIONS)
    said = grower_text(field(CORNER, part("spray", options=less), what="whole")).splitlines()[0]
    assert said.endswith("49.4 acres (best in at least 60 of 100 cases by our reckoning).")


def test_each_part_has_its_sentence() -> None:
    """What is kept in plain text names the parts where there are several."""
    assert part_answers(field(part("leave"))) == ("Leave it alone.",)
    assert part_answers(field(CORNER, part("leave"))) == (
        "Low corner: spray on 24 May, in the evening.", "The rest: leave it alone.",
    )  # fmt: skip
    assert MAY_24.day == 24
