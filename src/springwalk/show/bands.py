"""The stacked bands of larval stages, each named inside its own band where there is room."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import numpy as np
from numpy.typing import NDArray

from springwalk.jobs.results import Row, Series
from springwalk.show.words import STAGES

BAND_COLOURS = {
    "egg": "#F1ECDF",
    "instars_1_3": "#F2DFA0",
    "instar_4": "#E69F00",
    "instar_5": "#E07F26",
    "instar_6": "#D55E00",
    "pupa": "#BDB5A8",
}
_BAND = ("low", "mid", "high")
_ALIASES = {"instars 1–3": "instars_1_3", "instars 1-3": "instars_1_3"}


def draw_bands(ax: Any, series: Series, today: date) -> None:
    """Stack the stages from pupa at the top to egg at the bottom, edges in white, each band named."""
    days = np.arange(len(series.days))
    ax.set_ylim(0, 1)
    ax.set_yticks([0, 0.5, 1], ["0", "50 %", "100 %"])
    lower = np.zeros(len(days))
    bands: list[tuple[str, NDArray[np.float64], NDArray[np.float64]]] = []
    for key, values in shares_by_stage(series).items():
        upper = lower + values
        ax.fill_between(series.days, lower, upper, facecolor=BAND_COLOURS[key], edgecolor="white", linewidth=0.7)
        bands.append((key, lower, upper))
        lower = upper
    taken = series.days.index(today) if today in series.days else None
    for key, low, high in bands:
        _name_band(ax, series, key, low, high, taken)


def cropped(series: Series, today: date, row: Row) -> Series:
    """The days that tell something: from a week before the first moth, planting or count to a week after the end.

    The end is the last of today, the last moth, and the late date by which nine in ten larvae are through feeding.
    """
    days = series.days
    caught = [day for day, moths in zip(days, series.moths_per_night, strict=True) if moths > 0]
    part = row.parts[0] if row.parts else None
    through = part.through_90 if part else None
    planted = [part.planted] if part and part.planted else []
    seen = [day for day, _ in (*series.seen_collars, *series.seen_cut)]
    ends = [through.late or through.mid or days[-1]] if through else [days[-1]]
    first = max(days[0], min([*caught, *planted, *seen, today, days[-1]]) - timedelta(days=7))
    last = min(days[-1], max([*caught, *ends, *seen, today]) + timedelta(days=7))
    keep = slice(days.index(first), days.index(last) + 1)
    names = ("days", "moths_per_night", "significant", *(f"{k}_{b}" for k in ("collars", "cut") for b in _BAND))
    short = {name: getattr(series, name)[keep] for name in names}
    return series.model_copy(update={**short, "shares": {key: v[keep] for key, v in series.shares.items()}})


def shares_by_stage(series: Series) -> dict[str, NDArray[np.float64]]:
    """Daily shares by stage key in the order of stages; a stage not given is 0, NaN reads 0."""
    given = {_ALIASES.get(key, key.replace(" ", "_")): values for key, values in series.shares.items()}
    none = np.zeros(len(series.days))
    return {key: np.nan_to_num(np.asarray(given.get(key, none), dtype=float)) for key in STAGES}


def _name_band(
    ax: Any, series: Series, key: str, low: NDArray[np.float64], high: NDArray[np.float64], taken: int | None
) -> None:
    """Write the band's name where it fits flat inside; a shorter name where only that fits; else none.

    ``taken`` is the day of the line for today, which no name may cross.
    """
    figure = ax.get_figure()
    width = ax.get_position().width * figure.get_figwidth() * 72
    height = ax.get_position().height * figure.get_figheight() * 72
    full = STAGES[key]
    for text, size in ((full, 10.0), (full, 9.0), (full.replace("instar ", ""), 10.0)):
        days_wide = int(np.ceil(len(text) * size * 0.54 / width * len(series.days) / 2))
        need = size * 1.25 / height
        at = _middle_of_room(low, high, days_wide, need, taken)
        if at is not None:
            middle = (
                low[at - days_wide : at + days_wide + 1].max() + high[at - days_wide : at + days_wide + 1].min()
            ) / 2
            ax.text(series.days[at], middle, text, ha="center", va="center", fontsize=size, zorder=4)
            return


def _middle_of_room(
    low: NDArray[np.float64], high: NDArray[np.float64], half: int, need: float, taken: int | None
) -> int | None:
    """The day around which a box of 2·half+1 days and height ``need`` sits best inside the band; None if none does.

    More height than twice the need is no better, so the middle of such days is taken.
    """
    heights: dict[int, float] = {}
    for at in range(half, len(low) - half):
        if taken is not None and abs(at - taken) <= half:
            continue
        box = float(high[at - half : at + half + 1].min() - low[at - half : at + half + 1].max())
        if box >= need:
            heights[at] = min(box, 2 * need)
    if not heights:
        return None
    top = max(heights.values())
    best = [at for at, height in heights.items() if height >= top - 1e-9]
    return best[len(best) // 2]
