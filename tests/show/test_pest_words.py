"""Rule cards and sentences of stand pests as people read them."""

from __future__ import annotations

from typing import get_args

import pytest

from springwalk.jobs.pest_card import card, cards
from springwalk.show.caution import USUAL
from springwalk.show.pest_say import NEEDS, PEST_SAY
from springwalk.show.pest_words import card_text, cards_text, stages_words


def said(code: str, **facts: object) -> str:
    """The sentence of a code."""
    made = PEST_SAY[code]
    return made if isinstance(made, str) else made(facts)


@pytest.mark.parametrize("one", cards(), ids=lambda one: one.name)
def test_card_says_what_where_how_and_what_not(one: object) -> None:
    """Every card has all its headings, ends with the cautions, and prints no bare code or empty bracket."""
    text = card_text(one)  # type: ignore[arg-type]
    for head in ("What it does", "When", "Where", "How to count", "What the count means", "What can be done"):
        assert f"\n{head}\n  " in text
    assert text.endswith(USUAL[-1])
    for bad in ("None", "nan", "[]", "()", "_", "[published]", "  ."):
        assert bad not in text


def test_card_of_stink_bug() -> None:
    """The rule in force stands first, with state and source; the superseded one is said to be that."""
    text = card_text(card("stink bug"))
    assert "North Carolina: 13 or more bugs on 100 plants, as soon as 13 are found; 7–12: count more" in text
    assert "4 bugs a plant to six collars. [superseded, not used] [published: NC State, old page" in text
    assert "100 plants (from 1 collar to 6 collars): Ten or more plants a stop" in text


def test_no_rescue_is_said_first() -> None:
    """What can't be done must be read before what is counted."""
    assert card_text(card("wireworm")).splitlines()[1] == "No rescue exists once the corn is planted."
    assert card_text(card("slug")).splitlines()[1] == "No insecticide works; bait by its label is all there is."


def test_clock_of_the_fly_is_shown_with_its_unit() -> None:
    """Peaks are heat from 1 January on base 39 °F; another base would move them by weeks."""
    text = card_text(card("seedcorn maggot"))
    assert "Flies develop above: 39 °F. [published: Univ. Minnesota vegetable IPM" in text
    assert "Second peak: 1,080 °F·day. [published: South Dakota State" in text
    assert "No published count says when to act." in text


def test_samples_of_grubs_are_shown() -> None:
    """How many squares give the mean to what precision."""
    assert "For a mean known to 20 %: 6 samples (5–6)." in card_text(card("white grub"))


def test_list_of_pests() -> None:
    """One line each, with the stages at risk."""
    assert cards_text(cards()).splitlines()[:2] == [
        "seedcorn maggot: from planting to 2 collars; no rescue once planted",
        "wireworm: from before planting to 6 collars; no rescue once planted",
    ]
    assert stages_words(0, 1) == "from the spike to 1 collar"


def test_what_a_count_still_needs() -> None:
    """Each need has its sentence, and one not known falls back on counting on."""
    assert said("pest_need", need="measure") == "Measure the larvae: large ones have nearly finished feeding."
    assert said("pest_need", need="something new") == NEEDS["keep_counting"]
    assert len(set(NEEDS.values())) == len(NEEDS)


def test_treatment_defers_to_label_and_adviser() -> None:
    """No word of treatment without live insects, label, state's rules and who decides."""
    assert said("treat_by_label", name="stink bug") == (
        "If it is treated: only with live stink bug there, by a label that names it. The label and the state's rules"
        " come first; the grower and the licensed adviser decide."
    )
    assert "No insecticide works on slugs" in said("bait_only", name="slug")


def test_every_hold_of_the_engine_has_words() -> None:
    """A verdict of more must be able to say what it waits for."""
    from springwalk.engine.pests import Verdict

    assert get_args(Verdict) == ("below", "more", "act", "none")
    waits = {"keep_counting", "count_insects", "count_units", "count_two", "find_live", "measure", "size_unsure"}
    assert waits | {"unseen", "count_stand"} == set(NEEDS)
