"""Money lost against plants looked at, for the stop table and the plans it is compared with, as one SVG."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

from matplotlib import font_manager, rc_context, style
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure

from benchmarks import stopping_plans as plans
from benchmarks.stopping_fields import PARAMS
from benchmarks.stopping_plans import ByTime, Told
from springwalk.show import faces

COSTS = (0.1, 0.4, 0.7, 1.3, 2.0, 3.5, 6.0, 9.0, 12.0, 20.0, 40.0)
WALD_PLANTS = (40.0, 60.0, 80.0, 100.0, 125.0, 150.0)
BLUE, VERMILLION, RUST, INK, QUIET = "#0072B2", "#D55E00", "#9C4400", "#151515", "#4A463E"
MOST_PLANTS = 205.0

Points = list[Told]


def curves(fields: ByTime) -> dict[str, Points]:
    """Each way of counting at rising plants: fixed from 3 % and from the best shares, Wald's test, the stop table."""
    own, _ = plans.best_fixed(fields, each=True)
    three = dict.fromkeys(fields, plans.USUAL_SHARE)
    stops = range(1, PARAMS.most_stops + 1)
    return {
        "fixed stops, treat from 3 %": [plans.fixed_at(three, fields, k) for k in stops],
        "fixed stops, best share at each time": [plans.best_fixed(fields, each=True, stops=k)[1] for k in stops],
        "Wald's test, best of many": [plans.best_wald(plants, fields, own) for plants in WALD_PLANTS],
        "stop table": [plans.tables_at(cost, fields) for cost in COSTS],
    }


def draw(fields: ByTime, to: Path) -> None:
    """Write the figure: all times together, then each of them."""
    made = curves(fields)
    with rc_context():
        for face in (faces.REGULAR, faces.BOLD):
            font_manager.fontManager.addfont(str(face))
        style.use(["default", str(faces.STYLE)])
        figure = Figure(figsize=(11.8, 4.2))
        FigureCanvasSVG(figure)
        panels = figure.subplots(1, 1 + len(fields), width_ratios=[1.7] + [1.0] * len(fields))
        figure.subplots_adjust(left=0.05, right=0.99, top=0.83, bottom=0.13, wspace=0.22)
        for at, (panel, title) in enumerate(zip(panels, ["All three times", *fields], strict=True)):
            _panel(panel, made, title.capitalize(), None if at == 0 else at - 1)
        figure.text(0.05, 0.955, "Money lost per field against one who knows it, $", fontweight="bold", fontsize=11.5)
        figure.text(0.99, 0.955, "80 acres; the time of counting is left out", ha="right", color=QUIET, fontsize=9)
        out = io.StringIO()
        figure.savefig(out, format="svg", metadata={"Date": None, "Creator": None, "Format": None, "Type": None})
    to.write_text(_with_words(out.getvalue()), encoding="utf-8")


def _panel(panel: Any, made: dict[str, Points], title: str, time: int | None) -> None:
    looks = ((VERMILLION, "o", 1.4), (RUST, "s", 1.4), (QUIET, "^", 1.4), (BLUE, "", 2.6))
    for (name, points), (colour, mark, width) in zip(made.items(), looks, strict=True):
        at = [(t.plants, t.money) if time is None else (t.plants_by_time[time], t.by_time[time]) for t in points]
        plants, money = zip(*sorted(at), strict=True)
        panel.plot(plants, money, color=colour, marker=mark, markersize=4, linewidth=width, label=name)
    panel.set_title(title, loc="left", fontweight="bold", fontsize=10.5)
    panel.set_xlim(0.0, MOST_PLANTS)
    panel.set_ylim(0.0)
    panel.set_xticks([0, 50, 100, 150, 200])
    panel.grid(axis="y")
    if time is None:
        panel.set_xlabel("plants looked at per field")
        panel.legend(frameon=False, fontsize=9)


def _with_words(svg: str) -> str:
    """The SVG with its title, what it shows, and its face inside."""
    start = svg.index("<svg")
    end = svg.index(">", start) + 1
    title = "Money lost against plants looked at"
    words = (
        "At every number of plants the stop table loses less than fixed stops and Wald's test, the times put together."
    )
    head = f'<title id="t">{title}</title><desc id="d">{words}</desc><style>{faces.embedded_css()}</style>'
    return f'{svg[start : end - 1]} role="img" aria-labelledby="t d">{head}{svg[end:]}'
