"""The stop-table card: one field's tables on a half letter page for the pocket."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import typst

from springwalk.show import faces
from springwalk.show.stop_words import stop_text

if TYPE_CHECKING:
    from springwalk.jobs.stop_told import FieldStops

_TEMPLATE = Path(__file__).with_name("card.typ")


def card(field: FieldStops) -> bytes:
    """The card as PDF bytes; the same tables give the same bytes."""
    made: bytes = typst.compile(  # type: ignore[misc]
        _TEMPLATE,
        font_paths=[str(faces.STYLE_DIR)],
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(stop_text(field), ensure_ascii=False)},
    )
    return made
