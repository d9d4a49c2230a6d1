"""Words for values: those on our lists, others that plainly mean the same, and the user's own from season.toml."""

from __future__ import annotations

from collections.abc import Mapping
from typing import get_args

from springwalk.records.places import History, Texture
from springwalk.records.work import PassKind
from springwalk.tables import rows


def folded(text: str) -> str:
    """A word without its case, outer blanks, and the difference between blank, - and _."""
    return " ".join(text.casefold().replace("-", " ").replace("_", " ").split())


COVERS = ("black", "residue", "clean", "few weeds", "some weeds", "many weeds", "dense")
GREEN = ("few weeds", "some weeds", "many weeds", "dense")
EVENT_KINDS = (
    "weeds seen", "cover killed", "tilled", "emerged", "planted", "hail", "ponding", "water gone", "wind", "frost",
    "crust", "baits set", "torn up",
)  # fmt: skip
TRAP_KINDS = ("wing", "bucket", "cone", "other")
PASS_KINDS: tuple[str, ...] = get_args(PassKind)
TEXTURES: tuple[str, ...] = get_args(Texture)
HISTORIES: tuple[str, ...] = get_args(History)
PESTS: tuple[str, ...] = tuple(row["key"] for row in rows("pests"))

LISTS: Mapping[str, tuple[str, ...]] = {
    "events": EVENT_KINDS, "cover": COVERS, "trap_kind": TRAP_KINDS, "passes": PASS_KINDS, "pests": PESTS,
    "texture": TEXTURES, "history": HISTORIES,
}  # fmt: skip
"""The sections of [values] in season.toml and what a word there may mean."""
COLUMN_OF = {
    "events": "event", "cover": "cover", "trap_kind": "kind", "passes": "pass", "pests": "pest", "texture": "texture",
    "history": "history",
}  # fmt: skip
SECTION_OF = {column: section for section, column in COLUMN_OF.items()}
UNSAID = frozenset({"pest", "texture"})
"""Columns whose other words are names of the very same thing: nothing was guessed, so nothing is said."""

_EVENTS: Mapping[str, tuple[str, ...]] = {
    "cover killed": (
        "killed", "burndown", "burn down", "burned down", "terminated", "termination", "sprayed out", "spray out",
        "rye terminated", "rye killed", "cover terminated", "cover crop terminated", "cover crop killed",
        "weeds killed",
    ),
    "tilled": (
        "tillage", "till", "field cultivate", "field cultivated", "field cultivator", "cultivated", "cultivate",
        "disk", "disked", "disking", "disc", "disced", "chisel", "chiseled", "chisel plowed", "plowed",
        "vertical till", "vertical tilled", "vertical tillage", "fall chisel", "fall tillage", "fall disk",
        "spring disk", "spring tillage",
    ),
    "weeds seen": ("looked", "seen", "weeds", "weeds looked at"),
    "planted": ("plant", "planting", "seeded"),
    "emerged": ("up", "spike", "spiked", "spiking", "emergence", "emerging", "corn up", "corn emerged"),
    "hail": ("hailed", "hailstorm", "hail storm", "hailed on"),
    "ponding": (
        "ponded", "pond", "standing water", "water standing", "flood", "flooded", "flooding", "under water",
        "drowned", "waterlogged",
    ),
    "water gone": ("water off", "water left", "drained", "water drained", "dried off", "pond gone", "ponds gone"),
    "wind": ("windy", "high wind", "strong wind", "wind damage", "sandblasted", "sand blasted", "blown", "lodged"),
    "frost": ("froze", "frozen", "freeze", "frosted", "hard freeze", "hard frost", "frost damage"),
    "crust": ("crusted", "crusting", "soil crust", "surface crust"),
    "torn up": ("stand torn up", "tore up", "replanted", "old stand removed"),
    "baits set": ("baits", "bait set", "bait stations", "bait stations set", "baits out", "bait stations out"),
}  # fmt: skip
_PASSES: Mapping[str, tuple[str, ...]] = {
    "insecticide": ("spray", "sprayed", "insecticide spray", "bug spray", "rescue spray", "cutworm spray"),
    "herbicide": (
        "burndown", "burn down", "weed spray", "pre", "post", "preemerge", "pre emerge", "postemerge", "post emerge",
        "preemergence", "postemergence", "weed control",
    ),
    "fungicide": ("fungicide spray",),
    "manure": ("slurry", "manure spread", "liquid manure", "litter", "poultry litter", "hog manure"),
    "anhydrous": ("nh3", "anhydrous ammonia", "ammonia", "gas"),
    "fertilizer": (
        "fertiliser", "starter", "uan", "urea", "nitrogen", "sidedress", "side dress", "topdress", "top dress",
        "broadcast fertilizer", "lime",
    ),
    "rotary hoe": ("hoe", "hoed", "rotary hoed", "rotary hoeing", "hoeing"),
}  # fmt: skip
_TEXTURES: Mapping[str, tuple[str, ...]] = {
    "sand": ("sandy",), "loamy sand": ("ls",), "sandy loam": ("sl",), "silt loam": ("sil", "silty loam"),
    "silt clay loam": ("silty clay loam", "sicl"), "silty clay": ("sic", "silt clay"),
}  # fmt: skip
_HISTORIES: Mapping[str, tuple[str, ...]] = {
    "sod before": ("sod", "pasture", "grass before", "hay", "crp", "meadow", "pasture before", "after sod"),
    "clover before": ("clover", "red clover", "alfalfa", "alfalfa before", "legume sod", "legumes before"),
    "small grain before": ("small grain", "wheat before", "oats before", "barley before", "wheat", "oats"),
    "rye cover": ("rye", "cereal rye", "rye cover crop"),
    "grass edge": ("grassy edge", "grass waterway", "grassy border", "grass border", "fence row", "waterways"),
    "wheat edge": ("wheat next door", "wheat beside it", "next to wheat"),
    "nutsedge": ("yellow nutsedge", "sedge"),
    "wireworms before": ("wireworm", "wireworms", "wireworm history"),
    "grubs before": ("grub", "grubs", "white grubs", "grub history"),
    "slugs before": ("slug", "slugs", "slug history"),
    "low wet ground": ("low ground", "wet ground", "wet", "bottom", "bottom ground", "poorly drained"),
    "manure": ("manured", "slurry"),
    "grassy weeds": ("grass weeds", "foxtail", "weedy grass"),
}  # fmt: skip


def _meaning(lists: Mapping[str, tuple[str, ...]]) -> dict[str, str]:
    return {word: ours for ours, words in lists.items() for word in words}


def _pest_words() -> dict[str, str]:
    """Other common names of the pests, and their plurals."""
    told = {row["key"]: [row["key"] + "s", *row["also"].split(";")] for row in rows("pests")}
    spaced = {folded(word): ours for ours, words in told.items() for word in words if word}
    joined = {word.replace(" ", ""): ours for word, ours in spaced.items()}
    return {**joined, **{ours.replace(" ", ""): ours for ours in told}, **spaced}


BUILT_IN: Mapping[str, Mapping[str, str]] = {
    "event": _meaning(_EVENTS),
    "cover": {"few": "few weeds", "some": "some weeds", "many": "many weeds"},
    "kind": dict.fromkeys(
        ("wing trap", "wing pheromone", "wing pheromone trap", "sticky wing", "sticky wing trap"), "wing"
    )
    | {"bucket trap": "bucket", "cone trap": "cone", "texas cone": "cone", "texas cone trap": "cone"},
    "counted": {"y": "yes", "n": "no", "true": "yes", "false": "no"},
    "treats": {"y": "yes", "n": "no", "true": "yes", "false": "no"},
    "hard": {"y": "yes", "n": "no", "true": "yes", "false": "no"},
    "pass": _meaning(_PASSES),
    "pest": _pest_words(),
    "texture": _meaning(_TEXTURES),
    "history": _meaning(_HISTORIES),
    "outcome": {"made": "done", "walked": "done", "yes": "done", "skipped": "set aside", "dropped": "set aside"},
}  # fmt: skip
"""By column. How much green a plant's name stands for is not guessed: only amounts are read as cover."""
