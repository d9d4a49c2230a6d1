from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from datetime import date, timedelta
from itertools import pairwise

import pytest

from springwalk.show import figures
from springwalk.show.figures import NAMED_APART_DAYS, Size, season_figure
from tests.show import sample

SVG = "{http://www.w3.org/2000/svg}"


def _texts(svg: str) -> list[str]:
    return ["".join(node.itertext()).strip() for node in ET.fromstring(svg).iter(f"{SVG}text")]


def _figure(size: Size = "wide") -> str:
    return season_figure(sample.series(), sample.TODAY, sample.walk_rows()[0], size=size)


@pytest.mark.parametrize("size", ["wide", "narrow"])
def test_the_figure_repeats_to_the_byte(size: Size) -> None:
    """Same inputs, same file: no date, no random ids."""
    first = _figure(size)
    assert first == _figure(size)
    assert not re.search(r"<dc:date|20\d\d-\d\d-\d\dT", first)


@pytest.mark.parametrize("size", ["wide", "narrow"])
def test_text_stays_text_and_says_the_answer(size: Size) -> None:
    """Labels can be searched and read aloud: panels, stages, today and the cutting window with its dates."""
    svg = _figure(size)
    texts = _texts(svg)
    for label in ("Moths a night", "Larvae", "Corn", "Plants cut", "today, 17 May", "egg", "pupa", "instars 1–3"):
        assert label in texts
    joined = " ".join(texts)
    assert "cutting 16 May (14–18)" in joined
    assert "to 3 June (30 May–7 June)" in joined
    assert "Open Sans" in svg


def test_title_and_description_are_inside() -> None:
    """A reader who cannot see the figure is told the same things."""
    root = ET.fromstring(_figure())
    title, desc = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None
    assert title.text == "Season of Elm Bottom"
    assert desc is not None
    assert "42 moths were caught" in (desc.text or "")
    assert "Cutting begins 16 May (14–18)" in (desc.text or "")


def _collisions(svg: str) -> list[tuple[str, str]]:
    """Pairs of labels that lie on each other (boxes from their size and anchor)."""
    root = ET.fromstring(svg)
    boxes: list[tuple[str, float, float, float, float]] = []
    for node in root.iter(f"{SVG}text"):
        style = node.get("style", "")
        size = re.search(r"([\d.]+)px", style)
        place = re.search(r"translate\(([-\d.]+) ([-\d.]+)\)", node.get("transform", ""))
        x = float(place.group(1)) if place else float(node.get("x", "0"))
        y = float(place.group(2)) if place else float(node.get("y", "0"))
        tall = float(size.group(1)) if size else 10.0
        text = "".join(node.itertext()).strip()
        wide = 0.52 * tall * len(text)
        left = x - (wide if "end" in style else wide / 2 if "middle" in style else 0)
        boxes.append((text, left, y - 0.75 * tall, left + wide, y + 0.1 * tall))
    assert len(boxes) > 20
    return [
        (a[0], b[0])
        for k, a in enumerate(boxes)
        for b in boxes[k + 1 :]
        if a[1] < b[3] and b[1] < a[3] and a[2] < b[4] and b[2] < a[4]
    ]


@pytest.mark.slow
def test_labels_do_not_collide() -> None:
    """No two labels of a panel lie on each other."""
    assert _collisions(_figure()) == []


@pytest.mark.slow
@pytest.mark.parametrize("size", ["wide", "narrow"])
@pytest.mark.parametrize("before", range(1, 31, 3))
def test_month_names_never_lie_on_each_other(before: int, size: Size) -> None:
    """A season that begins at the end of March has no room for that name beside April; later months stay named."""
    days = tuple(date(2016, 4, 1) + timedelta(k) for k in range(-before, 90))
    with figures._style():
        from matplotlib.backends.backend_agg import FigureCanvasAgg
        from matplotlib.figure import Figure

        drawn = Figure(figsize=(11.8, 6.2) if size == "wide" else (4.1, 7.6))
        canvas = FigureCanvasAgg(drawn)
        ax = figures._panels(drawn, size)[-1]
        ax.set_xlim(days[0], days[-1])
        figures._months(ax, sample.series().model_copy(update={"days": days}), 11 if size == "wide" else 12)
        canvas.draw()
        boxes = sorted(((t.get_window_extent(), t.get_text()) for t in ax.texts), key=lambda box: box[0].x0)
    named = [name for _, name in boxes]
    assert named[-3:] == ["April", "May", "June"]
    assert ("March" in named) == (before >= (7 if size == "wide" else 19))
    assert all(a[0].x1 < b[0].x0 for a, b in pairwise(boxes))


def _walked(days: tuple[date, ...], collars: tuple[float, ...], cut: tuple[float, ...], size: Size) -> str:
    seen = {
        "seen_collars": tuple(zip(days, collars, strict=True)),
        "seen_cut": tuple(zip(days, cut, strict=True)),
    }
    return season_figure(sample.series().model_copy(update=seen), sample.TODAY, sample.walk_rows()[0], size=size)


def _named(svg: str) -> list[str]:
    return [text for text in _texts(svg) if text.startswith(("seen", "counted"))]


@pytest.mark.parametrize("size", ["wide", "narrow"])
def test_walks_days_apart_are_all_marked_and_the_newest_named(size: Size) -> None:
    """Three walks in a week must not print over each other, and 2 of 80 is 2.5 per 100."""
    days = (date(2016, 5, 9), date(2016, 5, 12), date(2016, 5, 16))
    svg = _walked(days, (0.6, 1.0, 1.3), (0.0, 0.0, 2.5), size)
    assert _named(svg) == ["seen 1.3", "counted 2.5"]
    assert len(re.findall(r"<use [^>]*fill: #ffffff; stroke: #151515", svg)) == 2 * len(days)


def test_a_walk_above_the_panel_is_not_drawn_over_the_next_one() -> None:
    """Corn of fourteen collars is beyond the weeks of cutworm; its mark must not land among the larvae."""
    svg = _walked((date(2016, 5, 16),), (14.0,), (0.0,), "wide")
    assert _named(svg) == ["counted 0"]
    assert len(re.findall(r"<use [^>]*fill: #ffffff; stroke: #151515", svg)) == 1


@pytest.mark.parametrize("size", ["wide", "narrow"])
def test_walks_far_enough_apart_are_both_named_and_do_not_collide(size: Size) -> None:
    """The days that words take up are enough of them, on a level stretch where nothing else keeps them apart."""
    days = (date(2016, 5, 16) - timedelta(NAMED_APART_DAYS[size]), date(2016, 5, 16))
    svg = _walked(days, (1.3, 1.3), (2.5, 2.5), size)
    assert _named(svg) == ["seen 1.3", "seen 1.3", "counted 2.5", "counted 2.5"]
    assert not [pair for pair in _collisions(svg) if set(pair) <= set(_named(svg))]


def test_odd_seasons_are_drawn() -> None:
    """No moths, no window, today outside the season, values missing: a figure all the same, saying so."""
    whole = sample.series()
    none = (0.0,) * len(whole.days)
    bare = whole.model_copy(
        update={
            "moths_per_night": none,
            "significant": (False,) * len(whole.days),
            "shares": {},
            "seen_cut": (),
            "seen_collars": (),
            "cut_high": (float("nan"),) * len(whole.days),
        }
    )
    row = sample.rest_rows()[0].model_copy(update={"captures": (), "parts": ()})
    svg = season_figure(bare, sample.END + timedelta(9), row)
    assert "no significant capture" in _texts(svg)
    assert not any(text.startswith("today") for text in _texts(svg))
    assert "No moths were caught." in svg


def test_names_are_escaped_in_the_figure() -> None:
    """A field called <b> stays text."""
    row = sample.walk_rows()[0].model_copy(update={"name": "A <b> & C"})
    root = ET.fromstring(season_figure(sample.series(), date(2016, 5, 17), row))
    title = root.find(f"{SVG}title")
    assert title is not None
    assert title.text == "Season of A <b> & C"
