"""The usual cautions: shown wherever treatment is spoken of."""

from __future__ import annotations

SHORT = (
    "Before anyone sprays: find live larvae first. The product label is the law,"
    " and your state's rules come before this sheet."
)
"""For the sheet: one line."""

USUAL: tuple[str, ...] = (
    "Treat only where live larvae of a size that can be treated are found.",
    "The product label is the law: it sets the rate, and when people may go back in and the crop may be used.",
    "Restricted-use products are bought and applied only by a certified applicator, or under one.",
    "Wear what the label asks for. Mind drift, water, and bees on blooming weeds.",
    "Local rules and your state's thresholds come first. The grower and the licensed adviser decide.",
)
"""For pages and letters that speak of treatment: the whole list."""
