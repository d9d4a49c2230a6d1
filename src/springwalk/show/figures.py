"""Figures as SVG text: deterministic, text as text, with a title and a description in words.

``season_figure`` explains a field on one time axis: moths, larvae, corn, plants cut; today; the cutting window.
"""

from __future__ import annotations

import io
import threading
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from datetime import date, timedelta
from typing import Any, Literal
from xml.sax.saxutils import escape

from springwalk.jobs.results import DateRange, Row, Series
from springwalk.show import faces, numbers as n
from springwalk.show.alt import season_words
from springwalk.show.bands import cropped, draw_bands

Size = Literal["wide", "narrow"]
Seen = Iterable[tuple[date, float]]

BLUE, PALE_BLUE, GREEN, VERMILLION, RUST, INK, QUIET, RULE = (
    "#0072B2", "#9DBAD0", "#007A59", "#D55E00", "#9C4400", "#151515", "#4A463E", "#E4DFD4",
)  # fmt: skip
LAST_SHOWN_COLLAR = 9.0
"""Corn is drawn to here: later collars are beyond the weeks of cutworm."""
NAMED_APART_DAYS: dict[Size, int] = {"wide": 9, "narrow": 21}
"""Days that the words beside a mark take up on a season of some fifteen weeks."""
_LOCK = threading.Lock()
"""Matplotlib's settings are shared by all threads, so figures are drawn one at a time."""

PANELS = (
    ("Moths a night", "blue: a significant capture", 0.9),
    ("Larvae", "share of the flight in each stage", 1.7),
    ("Corn", "leaf collars", 1.1),
    ("Plants cut", "per 100 so far, if nothing is done", 1.1),
)


@contextmanager
def _style() -> Iterator[None]:
    """Matplotlib with our one style sheet and face, and nobody else drawing."""
    import matplotlib as mpl
    from matplotlib import font_manager, style

    with _LOCK, mpl.rc_context():
        known = {entry.fname for entry in font_manager.fontManager.ttflist}
        for path in (faces.REGULAR, faces.BOLD):
            if str(path) not in known:
                font_manager.fontManager.addfont(str(path))
        style.use(["default", str(faces.STYLE)])
        yield


def season_figure(series: Series, today: date, row: Row, *, size: Size = "wide") -> str:
    """The season of one field as SVG text; ``size`` "narrow" is for a 390-pixel screen.

    Days with NaN are left out of lines. The same series, day and row give the same bytes.
    """
    with _style():
        from matplotlib.backends.backend_svg import FigureCanvasSVG
        from matplotlib.figure import Figure

        figure = Figure(figsize=(11.8, 6.2) if size == "wide" else (4.1, 7.6))
        FigureCanvasSVG(figure)
        axes = _panels(figure, size)
        description = season_words(series, today, row)
        series = cropped(series, today, row)
        window = _window(row)
        _moths(axes[0], series, row, size)
        draw_bands(axes[1], series, today)
        _corn(axes[2], series, size)
        _cut(axes[3], series, size)
        _time(axes, series, today, size)
        if window is not None:
            _cutting_window(axes, series, window, size)
        out = io.StringIO()
        figure.savefig(out, format="svg", metadata={"Date": None, "Creator": None, "Format": None, "Type": None})
    return _finished(out.getvalue(), row.name, description)


def _panels(figure: Any, size: Size) -> list[Any]:
    """Four panels under each other with their names: at the left on a wide figure, above on a narrow one."""
    wide = size == "wide"
    left, right, top, bottom = (0.15, 0.985, 0.97, 0.06) if wide else (0.125, 0.975, 0.96, 0.042)
    gap = 0.05 if wide else 0.062
    room = top - bottom - gap * (len(PANELS) - 1)
    total = sum(weight for _, _, weight in PANELS)
    axes, upper = [], top
    for title, under, weight in PANELS:
        height = room * weight / total
        ax = figure.add_axes((left, upper - height, right - left, height))
        if wide:
            figure.text(left - 0.042, upper - 0.005, title, ha="right", va="top", fontweight="bold", fontsize=11.5)
            lines = "\n".join(_fold(under, 18))
            figure.text(left - 0.042, upper - 0.042, lines, ha="right", va="top", fontsize=9, color=QUIET)
        else:
            figure.text(left, upper + 0.008, title, va="bottom", fontweight="bold", fontsize=12.5)
            figure.text(right, upper + 0.008, under, ha="right", va="bottom", fontsize=11, color=QUIET)
        axes.append(ax)
        upper -= height + gap
    return axes


def _fold(text: str, width: int) -> list[str]:
    import textwrap

    return textwrap.wrap(text, width)


def _moths(ax: Any, series: Series, row: Row, size: Size) -> None:
    """Bars of moths a night; the nights of a significant capture in full blue with their date."""
    colours = [BLUE if big else PALE_BLUE for big in series.significant]
    ax.bar(series.days, series.moths_per_night, width=0.85, color=colours)
    most = max([*series.moths_per_night, 1.0])
    ax.set_ylim(0, most * 1.75)
    _scale(ax, [0, _round_top(most)])
    last: date | None = None
    for day, moths in _runs(series):
        if last is None or (day - last).days >= (7 if size == "wide" else 11):
            ax.text(day, moths + most * 0.1, n.day(day), ha="center", va="bottom", color=BLUE, fontsize=9.5)
            last = day
    if not row.captures or not any(series.significant):
        nights = sorted({capture.night for capture in row.captures})
        where = "at other traps" if any(capture.moths is not None for capture in row.captures) else "by report"
        words = f"significant {where}: {', '.join(n.day(night) for night in nights[:3])}"
        ax.text(
            0.995, 0.42, words if nights else "no significant capture", transform=ax.transAxes, ha="right",
            color=BLUE if nights else QUIET, fontsize=9.5, zorder=7,
            bbox={"facecolor": "white", "edgecolor": "none", "pad": 1},
        )  # fmt: skip


def _runs(series: Series) -> list[tuple[date, float]]:
    """The first night of each run of significant nights, with the most moths of the run."""
    runs: list[tuple[date, float]] = []
    before = False
    for day, moths, big in zip(series.days, series.moths_per_night, series.significant, strict=True):
        if big and not before:
            runs.append((day, moths))
        elif big:
            runs[-1] = (runs[-1][0], max(runs[-1][1], moths))
        before = big
    return runs


def _corn(ax: Any, series: Series, size: Size) -> None:
    """Collars with their range, and collars as seen on walks."""
    low, high = ([min(x, LAST_SHOWN_COLLAR) for x in band] for band in (series.collars_low, series.collars_high))
    ax.fill_between(series.days, low, high, color=GREEN, alpha=0.22, linewidth=0)
    ax.plot(series.days, [x if x <= LAST_SHOWN_COLLAR else float("nan") for x in series.collars_mid], color=GREEN)
    ax.set_ylim(0, 9 if size == "wide" else 13)
    _scale(ax, [0, 2, 4, 6, 8], "V")
    _as_seen(ax, series.seen_collars, "o", _seen, size)


def _as_seen(ax: Any, seen: Seen, marker: str, words: Callable[[float], str], size: Size) -> None:
    """Mark what each walk saw; where walks follow so close that words would lie on words, the newest is named."""
    named: date | None = None
    inside = [(day, value) for day, value in seen if value <= ax.get_ylim()[1]]
    for day, value in sorted(inside, reverse=True):
        ax.plot(
            [day], [value], marker, markersize=7, markerfacecolor="white", markeredgecolor=INK, markeredgewidth=1.6,
            clip_on=False, zorder=4,
        )  # fmt: skip
        if named is None or (named - day).days >= NAMED_APART_DAYS[size]:
            ax.annotate(words(value), (day, value), (-9, 6), textcoords="offset points", ha="right", fontsize=9.5)
            named = day


def _seen(collars: float) -> str:
    """A look at the corn as typed: V and a whole number is a stage, a fraction is a mean over plants."""
    return f"seen V{collars:.0f}" if float(collars).is_integer() else f"seen {collars:.1f}"


def _cut(ax: Any, series: Series, size: Size) -> None:
    """Plants cut per 100 so far with their range, and what walks counted."""
    ax.fill_between(series.days, series.cut_low, series.cut_high, color=VERMILLION, alpha=0.2, linewidth=0)
    ax.plot(series.days, series.cut_mid, color=VERMILLION)
    seen_top = max((seen for _, seen in series.seen_cut), default=0.0)
    most = max([x for x in series.cut_high if x == x] + [seen_top, 0.5])
    ax.set_ylim(0, most * 1.2)
    _scale(ax, [0, _round_top(most) / 2, _round_top(most)])
    _as_seen(ax, series.seen_cut, "D", _counted, size)


def _counted(per_100: float) -> str:
    """A count on the scale of its panel, so that 2 of 80 does not read as 2 per 100."""
    return f"counted {per_100:.1f}".removesuffix(".0")


def _round_top(most: float) -> float:
    """The largest of 1, 2, 4, 5, 10 … that is not above ``most``: an even number to name on a scale."""
    unit = 0.1
    while unit * 10 <= most:
        unit *= 10
    return max(step * unit for step in (1, 2, 4, 6, 8) if step * unit <= most or step == 1)


def _scale(ax: Any, ticks: list[float], before: str = "") -> None:
    """Few ticks, named inside at the left so that panels share one edge."""
    decimals = 0 if all(abs(tick - round(tick)) < 1e-9 for tick in ticks) else 1
    ax.set_yticks(ticks, [f"{before}{tick:.{decimals}f}" for tick in ticks])
    ax.tick_params(axis="y", pad=3)


def _time(axes: list[Any], series: Series, today: date, size: Size) -> None:
    """One time axis: week rules, months below, today as a line through all panels with its date."""
    first, last = series.days[0], series.days[-1]
    weeks = [first + timedelta(k) for k in range(0, (last - first).days + 1, 7)]
    for ax in axes:
        ax.set_xlim(first - timedelta(hours=12), last + timedelta(hours=12))
        ax.set_xticks([])
        for week in weeks:
            ax.axvline(week, color=RULE, linewidth=0.8, zorder=0)
        if first <= today <= last:
            ax.axvline(today, color=INK, linewidth=1.6, zorder=5)
    _months(axes[-1], series, 11 if size == "wide" else 12)
    if first <= today <= last:
        share = ((today - first).days + 0.5) / ((last - first).days + 1)
        side = "left" if share < 0.12 else "right" if share > 0.88 else "center"
        axes[0].text(
            today, 0.97, f"today, {n.day(today)}", transform=axes[0].get_xaxis_transform(), ha=side, va="top",
            color="white", fontweight="bold", fontsize=10.5, zorder=6,
            bbox={"boxstyle": "square,pad=0.3", "facecolor": INK, "edgecolor": INK},
        )  # fmt: skip


def _months(ax: Any, series: Series, size: float) -> None:
    """Month names under the last panel, each from its first day on; one that would run into the next is left out."""
    first, last = series.days[0], series.days[-1]
    points = ax.get_position().width * ax.get_figure().get_figwidth() * 72.0 / ((last - first).days + 1)
    until: float = (last - first).days + 1
    starts = [first, *(day for day in series.days[1:] if day.day == 1)]
    for day in reversed(starts):
        name = n.MONTHS[day.month - 1]
        at = (day - first).days
        if at + _wide(name, size) / points <= until or len(starts) == 1:
            until = at
            ax.annotate(
                name, (day, 0), (0, -6), xycoords=("data", "axes fraction"),
                textcoords="offset points", va="top", fontweight="bold", fontsize=size, annotation_clip=False,
            )  # fmt: skip


def _wide(text: str, size: float) -> float:
    """How wide bold text is in points, with half a letter of room after it."""
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import TextPath

    return float(TextPath((0, 0), text, size, prop=FontProperties(weight="bold")).get_extents().x1) + size / 2


def _window(row: Row) -> tuple[DateRange, DateRange | None] | None:
    """When cutting begins and ends in the part that decides; None where no beginning is reached."""
    if not row.parts or row.parts[0].cutting_begins is None or row.parts[0].cutting_begins.mid is None:
        return None
    return row.parts[0].cutting_begins, row.parts[0].through_90


def _cutting_window(axes: list[Any], series: Series, window: tuple[DateRange, DateRange | None], size: Size) -> None:
    """Hatch the cutting window behind corn and cut plants, and say its dates between the panels."""
    begins, through = window
    start = begins.mid or series.days[-1]
    end = (through.mid if through else None) or series.days[-1]
    for ax in axes[2:]:
        ax.axvspan(start, end, facecolor="none", edgecolor=VERMILLION, hatch="///", alpha=0.5, linewidth=0, zorder=0.5)
    to = f" to {n.dates(through)}" if through else ""
    words = f"cutting {n.dates(begins)}{to}"
    if size == "narrow":
        words = words.replace(" to ", "\nto ", 1)
    ax = axes[2]
    middle = start + (end - start) / 2
    share = (middle - series.days[0]).days / max(1, (series.days[-1] - series.days[0]).days)
    half = 0.19 if size == "wide" else 0.3
    share = min(max(share, half), 1 - half)
    y = 1.025 if size == "wide" else 0.985
    ax.text(
        share, y, words, transform=ax.transAxes, ha="center", va="bottom" if size == "wide" else "top",
        color=RUST, fontweight="bold", fontsize=10, zorder=7,
        bbox={"facecolor": "white", "edgecolor": "none", "pad": 1},
    )  # fmt: skip


def _finished(svg: str, name: str, description: str) -> str:
    """Put title, description and the face into the SVG text, and drop the XML prologue."""
    start = svg.index("<svg")
    end = svg.index(">", start) + 1
    opening = svg[start : end - 1] + ' role="img" aria-labelledby="t d">'
    head = f'<title id="t">Season of {escape(name)}</title><desc id="d">{escape(description)}</desc>'
    return f"{opening}{head}<style>{faces.embedded_css()}</style>{svg[end:]}"
