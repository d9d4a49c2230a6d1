"""The one vendored sans face: where it is, and a small copy that a figure carries inside itself."""

from __future__ import annotations

import base64
import io
from functools import lru_cache
from pathlib import Path

STYLE_DIR = Path(__file__).parent / "style"
FACE = "Open Sans"
REGULAR = STYLE_DIR / "OpenSans-Regular.ttf"
BOLD = STYLE_DIR / "OpenSans-Bold.ttf"
STYLE = STYLE_DIR / "springwalk.mplstyle"
_KEPT = "".join(chr(code) for code in range(32, 127)) + "°·–—−×≤≥’“”…½éèüöäñ"


@lru_cache(maxsize=2)
def _small(path: Path) -> str:
    """The face at ``path`` with the letters figures need, as base64 text; the same bytes each time."""
    from fontTools import subset  # type: ignore[import-untyped]
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

    options = subset.Options(hinting=False, layout_features=["kern"], name_IDs=[0, 1, 2, 5, 13], notdef_outline=True)
    font = TTFont(path, recalcTimestamp=False)
    small = subset.Subsetter(options)
    small.populate(text=_KEPT)
    small.subset(font)
    out = io.BytesIO()
    font.save(out)
    return base64.b64encode(out.getvalue()).decode("ascii")


def embedded_css() -> str:
    """Font rules with the face inside: a picture in a page cannot fetch a face of its own."""
    rule = "@font-face{{font-family:'{face}';font-weight:{weight};src:url(data:font/ttf;base64,{data})}}"
    return "".join(
        rule.format(face=FACE, weight=weight, data=_small(path)) for weight, path in ((400, REGULAR), (700, BOLD))
    )
