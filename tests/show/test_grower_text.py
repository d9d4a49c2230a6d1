"""Three lines for the grower: what to do, why, and the label and the adviser wherever it treats."""

from __future__ import annotations

import re
from datetime import date
from typing import get_args

import pytest

from springwalk.jobs.advised import FieldAdvice, Verdict
from springwalk.show.grower_text import CAUTION, grower_text, part_answers
from tests.show.test_advice_words import LEAVE, MAY_24, field, part

SPRAY = LEAVE.model_copy(update={"kind": "spray", "cost_per_ha": 39.5, "lost_per_ha": 60.0, "bad_tenth_per_ha": 99.0})
OPTIONS = (SPRAY, SPRAY.model_copy(update={"kind": "ride along"}), LEAVE)


@pytest.mark.parametrize(
    ("verdict", "lines"),
    [
        ("spray", ["Home, 24 May: spray on 24 May, in the evening.",
                   "Seen 24 May: 4 % of 100 plants cut, one larva found. Expected loss an acre: $36 (in a bad case"
                   " $81) if left, $24 (in a bad case $40) if treated, all in.", CAUTION]),
        ("ride along", ["Home, 24 May: let it ride along with the pass on 24 May.", "Seen 24 May: ", CAUTION]),
        ("look again", ["Home, 24 May: don't spray yet: look again at dusk on 24 May.",
                        "Seen 24 May: 4 % of 100 plants cut, one larva found.",
                        "Nothing is sprayed on this yet; before anyone does, the label and your licensed adviser come"
                        " first."]),
        ("come back", ["Home, 24 May: leave it today and look once more on 24 May.", "Seen 24 May: ",
                       "I look again on 24 May and tell you."]),
        ("leave", ["Home, 24 May: leave it alone.", "Seen 24 May: ",
                   "Nothing to do now. Call me if you see plants freshly cut."]),
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
LATER = part("spray", name="north end", on=date(2016, 5, 26), options=OPTIONS)


@pytest.mark.parametrize(
    ("told", "first"),
    [
        (field(CORNER, part("leave"), what="part", treat=("low corner",)),
         "low corner: spray on 24 May, in the evening. Nothing on the other parts now."),
        (field(CORNER, LATER, what="whole"), "low corner: spray on 24 May, in the evening; north end: spray on 26 May,"
                                             " in the evening."),
        (field(CORNER, part("spray", options=OPTIONS), what="whole"), "spray on 24 May, in the evening."),
        (field(part("leave"), part("look again", name="low corner")),
         "in low corner, don't spray yet: look again at dusk on 24 May."),
        (field(part("leave"), part("leave", name="low corner")), "leave it alone."),
    ],
)  # fmt: skip
def test_parts_are_named_where_they_differ(told: FieldAdvice, first: str) -> None:
    """Only the corner: its name, and that nothing is done elsewhere."""
    assert grower_text(told).splitlines()[0] == f"Home, 24 May: {first}"


def test_no_number_stands_without_its_unit() -> None:
    """What is read aloud in a truck must say of what it speaks: dollars an acre, per cent of plants, larvae, a day."""
    known = r"\d+ May|\$\d+|\d+ %|\d+ plants"
    for verdict in get_args(Verdict):
        said = grower_text(field(part(verdict, options=OPTIONS)))
        assert not re.search(r"\d", re.sub(known, "", said)), said
        assert "$" not in said or "loss an acre" in said
        assert max(len(line) for line in said.splitlines()) <= 160


def test_each_part_has_its_sentence() -> None:
    """What is kept in plain text names the parts where there are several."""
    assert part_answers(field(part("leave"))) == ("Leave it alone.",)
    assert part_answers(field(CORNER, part("leave"))) == (
        "Low corner: spray on 24 May, in the evening.", "The rest: leave it alone.",
    )  # fmt: skip
    assert MAY_24.day == 24
