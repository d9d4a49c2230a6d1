"""How many examples a property test draws."""

from __future__ import annotations

import math

from hypothesis import settings


def examples(most: int) -> int:
    """``most``, or the share of it that the profile in force draws of the usual 100."""
    return math.ceil(most * settings().max_examples / 100)
