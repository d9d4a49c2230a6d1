"""Words for values: those on our lists, others that plainly mean the same, and the user's own from season.toml."""

from __future__ import annotations

from collections.abc import Mapping

COVERS = ("black", "residue", "clean", "few weeds", "some weeds", "many weeds", "dense")
GREEN = ("few weeds", "some weeds", "many weeds", "dense")
EVENT_KINDS = ("weeds seen", "cover killed", "tilled", "emerged", "planted")
TRAP_KINDS = ("wing", "bucket", "cone", "other")

LISTS: Mapping[str, tuple[str, ...]] = {"events": EVENT_KINDS, "cover": COVERS, "trap_kind": TRAP_KINDS}
"""The sections of [values] in season.toml and what a word there may mean."""
COLUMN_OF = {"events": "event", "cover": "cover", "trap_kind": "kind"}
SECTION_OF = {column: section for section, column in COLUMN_OF.items()}

_KILLED = (
    "killed", "burndown", "burn down", "burned down", "terminated", "termination", "sprayed out", "spray out",
    "rye terminated", "rye killed", "cover terminated", "cover crop terminated", "cover crop killed", "weeds killed",
)  # fmt: skip
_TILLED = (
    "tillage", "till", "field cultivate", "field cultivated", "field cultivator", "cultivated", "cultivate", "disk",
    "disked", "disking", "disc", "disced", "chisel", "chiseled", "chisel plowed", "plowed", "vertical till",
    "vertical tilled", "vertical tillage", "fall chisel", "fall tillage", "fall disk", "spring disk", "spring tillage",
)  # fmt: skip
_SEEN = ("looked", "seen", "weeds", "weeds looked at")
_PLANTED = ("plant", "planting", "seeded")
_EMERGED = ("up", "spike", "spiked", "spiking", "emergence", "emerging", "corn up", "corn emerged")
BUILT_IN: Mapping[str, Mapping[str, str]] = {
    "event": dict.fromkeys(_KILLED, "cover killed")
    | dict.fromkeys(_TILLED, "tilled")
    | dict.fromkeys(_SEEN, "weeds seen")
    | dict.fromkeys(_PLANTED, "planted")
    | dict.fromkeys(_EMERGED, "emerged"),
    "cover": {"few": "few weeds", "some": "some weeds", "many": "many weeds"},
    "kind": dict.fromkeys(
        ("wing trap", "wing pheromone", "wing pheromone trap", "sticky wing", "sticky wing trap"), "wing"
    )
    | {"bucket trap": "bucket", "cone trap": "cone", "texas cone": "cone", "texas cone trap": "cone"},
    "counted": {"y": "yes", "n": "no", "true": "yes", "false": "no"},
}
"""By column. How much green a plant's name stands for is not guessed: only amounts are read as cover."""


def folded(text: str) -> str:
    """A word without its case, outer blanks, and the difference between blank, - and _."""
    return " ".join(text.casefold().replace("-", " ").replace("_", " ").split())
