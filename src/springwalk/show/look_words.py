"""What to look for, what can still be done, and what not to decide yet: reason codes to sentences."""

from __future__ import annotations

from springwalk.show.facts import Facts, Say, when_words


def _hoe_or_water(facts: Facts) -> str:
    until = f", until {when_words(facts['until'])}" if facts.get("until") else ""
    return f"After the dig, and on a strip first: a rotary hoe or water can soften the crust{until}."


def _protect(facts: Facts) -> str:
    until = f" on {when_words(facts['until'])}" if facts.get("until") else ""
    return f"Protection can only go in at planting{until}: read the stations before."


LOOK_LOOK_FOR: dict[str, Say] = {
    "ten_seeds": "Dig ten seeds in a row: swollen, split, firm and white, or soft and brown?",
    "corkscrew": "Shoots that are twisted, or leafed out under the soil.",
    "ten_in_row": "Dig ten seeds in a row: how many of the ten will still come?",
    "leafed_under": "Leaves pushed out through the side of the sheath while still under the soil.",
    "spike_rows": "Walk along a few rows: where spikes stand, and where they are missing.",
    "dig_if_none": "Where none stand, dig: is the seed there, swollen, sprouted or soft?",
    "count_stand": (
        "Count plants in ten measured row lengths (17 ft 5 in. of 30-inch row is 1/1,000 acre) and note the gaps."
    ),
    "cut_or_holed": "Cut, wilted or holed plants: dig beside them for a larva.",
    "late_plants": "Late plants: count them apart from the rest.",
    "new_growth": "A new leaf pushing from the whorl: count plants with one and without.",
    "growing_point": "Split a few plants: is the growing point firm and white, or soft and brown?",
    "low_first": lambda f: f"Begin in low ground{', ' + str(f['zone']) if f.get('zone') else ''}.",
    "stand_left": "Plants still standing: count them.",
    "leaf_left": "Leaf that is left: torn leaf that is green still counts.",
    "sand_cut": "Plants cut or scoured by blowing sand.",
    "leaning": "Plants that lean and plants that snapped: count each.",
    "crown_roots": "Dig a few plants: crown depth, roots on all sides or in one plane, a firm mesocotyl or not.",
    "count_again": "Count the stand again in the same row lengths.",
    "armyworm_new": "Ragged leaves and young armyworm on the new corn.",
    "seedling_roots": "Roots of a few seedlings: white and firm, or brown and rotting?",
    "same_flags_again": "The same flags again: fresh cuts and live larvae since the treatment.",
    "untreated_strip": lambda f: (
        f"The untreated strip ({f['where']}), to compare."
        if f.get("where")
        else "The untreated strip, if one was left, to compare."
    ),
    "walk_promised": "Walk it as promised, and tell the grower what you saw.",
    "read_baits": "Dig up each station and count the wireworms in it.",
    "skips_dig": "Dig where plants are missing: hollowed seed, small white maggots, or brown pupae?",
    "leaf_holes_1_2": "Holes in the first two leaves.",
}

LOOK_CAN_DO: dict[str, Say] = {
    "hoe_or_water": _hoe_or_water,
    "ask_seed": "Ask early whether seed of the right maturity is still to be had.",
    "let_water_off": "Let the water off where it can run.",
    "insurer_first": "Call the insurer first: the terms of notice are in the policy in hand.",
    "protect_at_planting": _protect,
    "none_rescue": lambda f: f"There is no rescue treatment for {f.get('name') or 'this'}.",
    "retreat_by_label": "Where larvae live on, the label says whether and when it may be treated again.",
    "nothing_mends": "Nothing mends this now: write down what you see.",
}

LOOK_NOT_YET: dict[str, Say] = {
    "no_replant_before": lambda f: f"Don't decide on replanting before {when_words(f['date'])}.",
    "no_replant_until_spike": lambda f: (
        f"Don't decide on replanting before the spike has had its time, {when_words(f['date'])}."
    ),
    "no_replant_on_one_count": "Don't decide on replanting from one count: count again in 3–5 days.",
    "not_one_cause": "Don't settle on one cause: several at once is the rule.",
    "no_spray_for_cold": "Don't spray: no spray mends what cold has done.",
}
