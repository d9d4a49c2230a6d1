"""The tables of stand pests: their words, their keys, and what may never be used for a verdict."""

from __future__ import annotations

from typing import get_args

import pytest

from springwalk.engine.pests import Kind, Rule
from springwalk.jobs.pest_card import TOPICS
from springwalk.jobs.pest_tables import pests, rules, samples
from springwalk.records.places import History
from springwalk.show.pest_words import FRAMES, RESCUE, STANDINGS
from springwalk.tables import number, rows

WORKED_OUT = {"killed cover", "fresh tillage", "mild winter", "soybean before"}
"""Risks that are read from events, passes, weather and the crop before."""


def test_each_row_belongs_to_a_pest() -> None:
    """A slip in a name would hide a rule, a fact or a way to count."""
    for table in ("pest_rules", "pest_samples", "pest_facts"):
        assert {row["pest"] for row in rows(table)} <= set(pests()), table


def test_words_are_ours() -> None:
    """Frames, risks, topics, kinds and standings are words that code knows."""
    for pest in pests().values():
        assert pest.frame in FRAMES
        assert pest.rescue in RESCUE
        assert set(pest.favoured) <= set(get_args(History)) | WORKED_OUT
    assert {row["topic"] for row in rows("pest_facts")} == set(TOPICS)
    assert {row["kind"] for row in rows("pest_rules")} <= set(get_args(Kind))
    assert {row["standing"] for row in rows("pest_rules")} == {"current", *STANDINGS}


@pytest.mark.parametrize("pest", list(pests()))
def test_each_pest_can_be_looked_for_and_said(pest: str) -> None:
    """A card without what it does, where, when, how to count or what can't be done helps nobody."""
    told = {row["topic"] for row in rows("pest_facts") if row["pest"] == pest}
    assert {"does", "where", "can", "cannot", "look_alike"} <= told
    assert samples(pest)
    for stage in range(max(0, pests()[pest].from_collars), pests()[pest].to_collars + 1):
        assert any(way.fits(stage) for way in samples(pest)), stage


def test_every_published_threshold_has_bounds_and_words() -> None:
    """A rule of a kind needs that kind's bounds, and words for what it says and when to act."""
    for pest in pests():
        for rule in rules(pest):
            row = next(r for r in rows("pest_rules") if r["key"] == rule.key)
            assert row["says"], rule.key
            assert (rule.high is not None) == (rule.kind in ("mean", "both", "sequential")), rule.key
            assert (rule.share_high is not None) == (rule.kind in ("share", "both")), rule.key
            assert bool(row["act"]) == (rule.kind != "none"), rule.key
            assert rule.states, rule.key


def test_what_no_verdict_rests_on() -> None:
    """Superseded, doubtful, derived, seed-corn and later rules are shown, and never used."""
    unused = {rule.key for pest in pests() for rule in rules(pest) if not rule.usable}
    assert unused == {
        "stink-carolina-old", "stink-carolina-v14", "stink-carolina-r1", "slug-delaware-foot", "slug-delaware-plant",
        "grub-virginia-fall-foot", "grub-virginia-spring-foot", "flea-seed", "slug-ohio-none", "billbug-illinois",
    }  # fmt: skip


def test_virginia_square_follows_from_its_sample() -> None:
    """1.6 and 1.04 in an 8-inch square are 3.6 and 2.3 in a square foot (144 over 64)."""
    by_key = {rule.key: rule for rule in rules("white grub")}
    for season in ("fall", "spring"):
        sample, foot = by_key[f"grub-virginia-{season}"], by_key[f"grub-virginia-{season}-foot"]
        assert sample.high is not None
        assert foot.high == pytest.approx(sample.high * 144 / 64, abs=0.05)


def test_published_clock_rows() -> None:
    """Base, cap and peaks of the fly and the move of stalk borer as their sources print them."""
    told = {name: number("pest_clocks", name).value for name in ("maggot_base", "maggot_upper", "borer_base")}
    assert told == {"maggot_base": 39.0, "maggot_upper": 84.2, "borer_base": 41.0}
    assert number("pest_clocks", "borer_move").value == 1300.0
    assert number("pest_clocks", "fly_before").mark == number("pest_clocks", "fly_after").mark == "assumption"


def test_recalled_rescue_of_grubs_and_slugs_says_so() -> None:
    """Two statements that no rescue works are recalled and not re-read: they may not look published."""
    recalled = {row["pest"] for row in rows("pest_facts") if row["topic"] == "cannot" and row["mark"] == "memory"}
    assert {"white grub", "slug"} <= recalled


PRINTED = {
    "armyworm-dakota-iowa": "10 %", "armyworm-wisconsin-two": "25 %", "armyworm-wisconsin-one": "75 %",
    "armyworm-ohio": ">50 %", "armyworm-missouri": "25 %", "armyworm-pennsylvania": ">10 %",
    "armyworm-iowa-late": ">8", "wireworm-illinois": "1", "wireworm-indiana": "1–2", "wireworm-delaware-soil": "1",
    "wireworm-delaware-shovel": "1 in 5", "grub-true": "1", "grub-virginia-fall": "1.6", "grub-virginia-spring": "1.04",
    "grub-virginia-fall-foot": "3.6", "grub-virginia-spring-foot": "2.3", "grub-virginia-foot": "2",
    "grub-delaware": "1", "slug-delaware-board": "1", "slug-delaware-foot": "3", "slug-delaware-plant": "3–5",
    "slug-ohio-board": ">4–5", "slug-ohio-none": "", "flea-illinois": "5", "flea-delaware": "5–6 and 50 %",
    "flea-seed": "2–3 and 10 %", "billbug-illinois": "", "billbug-southeast": "5 %", "stink-carolina": "7–13 in 100",
    "stink-carolina-v14": "10–18 in 100", "stink-carolina-r1": "36–52 in 100", "stink-carolina-old": "4",
    "stink-georgia": "10 %", "stink-nebraska": "1 in 4", "borer-2": "4 %", "borer-3": "6 %", "borer-4": "10 %",
}  # fmt: skip


def printed(rule: Rule) -> str:
    """The bounds of a rule as a page prints them."""
    parts = []
    if rule.low is not None and rule.high is not None:
        span = f"{rule.low:g}" if rule.low == rule.high else f"{rule.low:g}–{rule.high:g}"
        parts.append(f"{span} in {rule.of_units}" if rule.of_units > 1 else span)
    if rule.share_high is not None:
        parts.append(f"{100 * rule.share_high:g} %")
    return (">" if rule.over else "") + " and ".join(parts)


def test_thresholds_are_as_printed() -> None:
    """A slip of one digit would treat or spare a thousand fields: each bound as its source prints it."""
    assert {rule.key: printed(rule) for pest in pests() for rule in rules(pest)} == PRINTED


def test_stages_of_thresholds_are_as_printed() -> None:
    """Which corn a rule speaks of is part of the rule."""
    staged = {r.key: (r.from_collars, r.to_collars) for pest in pests() for r in rules(pest)}
    assert staged["armyworm-dakota-iowa"] == (0, 2)
    assert staged["stink-carolina"] == (1, 6)
    assert staged["flea-illinois"] == staged["flea-delaware"] == (None, 4)
    assert [staged[f"borer-{leaf}"] for leaf in (2, 3, 4)] == [(2, 2), (3, 3), (4, 4)]


def test_each_published_rule_has_its_source() -> None:
    """Only our own arithmetic stands without one."""
    bare = {row["key"] for row in rows("pest_rules") if not row["source"]}
    assert bare == {"grub-virginia-fall-foot", "grub-virginia-spring-foot"}
    assert {row["mark"] for row in rows("pest_rules") if row["key"] not in bare} == {"published"}
