"""What the desk asks: two callables, so that pages know nothing of stores."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from springwalk.jobs.results import FieldPage, Sheet


@dataclass(frozen=True)
class Questions:
    """``sheet()`` gives today's sheet; ``field(id)`` gives one field's page or raises NotFound."""

    sheet: Callable[[], Sheet]
    field: Callable[[str], FieldPage]
