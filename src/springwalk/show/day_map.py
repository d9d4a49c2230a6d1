"""The day as a map: fields where they lie, each person's way between them, as SVG text without any outside picture."""

from __future__ import annotations

from math import cos, radians
from typing import TYPE_CHECKING, Literal
from xml.sax.saxutils import escape

from springwalk.show.faces import FACE, embedded_css

if TYPE_CHECKING:
    from springwalk.jobs.day_said import Day, PersonDay

Size = Literal["wide", "narrow"]
At = tuple[float, float]

INK, PAPER, LAND, LEFT = "#151515", "#fbfaf6", "#E4DFD4", "#FFFFFF"
WAYS = (("#0072B2", ""), ("#D55E00", "9 5"), ("#007A59", "3 4"), ("#7A4A8A", "12 4 3 4"), ("#4A463E", "1 5"))
"""Colour and dashes of each person's way: told apart by dashes too, and the numbers carry the person's letter."""
EARTH_KM_PER_DEG = 111.2
MILE_KM = 1.609344
MARGIN = 34.0
WIDE_TOO = 1.9
"""A map is never more than this many times as wide as it is high, nor the other way round."""


def day_map(day: Day, *, size: Size = "wide", embed: bool = True) -> str:
    """The map of a day; ``embed`` carries the face inside, for a page. The same day gives the same bytes."""
    width = 760.0 if size == "wide" else 360.0
    view = _View(day, width)
    body = [_fields(day, view)]
    for k, person in enumerate(day.people):
        body.append(_way(person, k, view, day.start, several=len(day.people) > 1))
    body.append(_start(view.at(day.start)))
    body.append(_scale(view))
    title = "Map of the day"
    style = f"<style>{embedded_css()}</style>" if embed else ""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0f} {view.height:.0f}" role="img"'
        f' font-family="{FACE}, sans-serif"><title>{title}</title><desc>{escape(map_words(day))}</desc>{style}'
        f'<rect width="100%" height="100%" fill="{PAPER}"/>{"".join(body)}</svg>'
    )


def letter_of(k: int) -> str:
    """The letter of the k-th person of a day on its map."""
    return chr(ord("A") + k)


def map_words(day: Day) -> str:
    """The map in words: each person's fields in order, then those left out."""
    ways = [
        f"{person.person}: {', '.join(visit.name for visit in person.visits)}" for person in day.people if person.visits
    ]
    left = [one.name for one in day.left_out]
    return "; ".join([*ways, *([f"left out: {', '.join(left)}"] if left else [])]) + ". North is up."


class _View:
    """Degrees to picture: one scale both ways, north up."""

    def __init__(self, day: Day, width: float) -> None:
        points = [day.start, *((v.latitude, v.longitude) for p in day.people for v in p.visits)]
        points += [(lat, lon) for shape in day.outlines for ring in shape.rings for lon, lat in ring]
        lats, lons = [p[0] for p in points], [p[1] for p in points]
        self.narrow = cos(radians((min(lats) + max(lats)) / 2.0))
        east, north = (max(lons) - min(lons)) * self.narrow, max(lats) - min(lats)
        east, north = max(east, north / WIDE_TOO, 0.004), max(north, east / WIDE_TOO, 0.004)
        self.scale = (width - 2 * MARGIN) / east
        self.height = north * self.scale + 2 * MARGIN + 22.0
        self.middle = ((min(lats) + max(lats)) / 2.0, (min(lons) + max(lons)) / 2.0)
        self.width = width

    def at(self, place: At) -> At:
        """Where a (latitude, longitude) is drawn."""
        x = self.width / 2.0 + (place[1] - self.middle[1]) * self.narrow * self.scale
        y = (self.height - 22.0) / 2.0 - (place[0] - self.middle[0]) * self.scale
        return x, y


def _fields(day: Day, view: _View) -> str:
    """Outlines: fields of the day filled, those left out only drawn."""
    visited = {visit.field for person in day.people for visit in person.visits}
    out = []
    for shape in day.outlines:
        for ring in shape.rings:
            points = " ".join("{:.1f},{:.1f}".format(*view.at((lat, lon))) for lon, lat in ring)
            fill = LAND if shape.field in visited else LEFT
            out.append(f'<polygon points="{points}" fill="{fill}" stroke="#8a8272" stroke-width="1"/>')
    return "".join(out)


def _way(person: PersonDay, k: int, view: _View, start: At, *, several: bool) -> str:
    """One person's way and numbered fields."""
    if not person.visits:
        return ""
    colour, dashes = WAYS[k % len(WAYS)]
    stops = [view.at((visit.latitude, visit.longitude)) for visit in person.visits]
    line = " ".join(f"{x:.1f},{y:.1f}" for x, y in [view.at(start), *stops, view.at(start)])
    dash = f' stroke-dasharray="{dashes}"' if dashes else ""
    out = [f'<polyline points="{line}" fill="none" stroke="{colour}" stroke-width="2.5"{dash} opacity="0.85"/>']
    letter = letter_of(k) if several else ""
    for number, (x, y) in enumerate(stops, start=1):
        out.append(
            f'<circle cx="{x:.1f}" cy="{y:.1f}" r="13" fill="{colour}" stroke="{PAPER}" stroke-width="2"/>'
            f'<text x="{x:.1f}" y="{y + 4.5:.1f}" text-anchor="middle" font-size="12" font-weight="700"'
            f' fill="#ffffff">{escape(letter)}{number}</text>'
        )
    return "".join(out)


def _start(at: At) -> str:
    x, y = at
    return (
        f'<rect x="{x - 8:.1f}" y="{y - 8:.1f}" width="16" height="16" fill="{PAPER}" stroke="{INK}"'
        f' stroke-width="2.5"/>'
        f'<text x="{x + 13:.1f}" y="{y + 5:.1f}" font-size="13" font-weight="700" fill="{INK}" stroke="{PAPER}"'
        f' stroke-width="3" paint-order="stroke">start</text>'
    )


def _scale(view: _View) -> str:
    """A bar of whole miles and a north arrow."""
    per_mile = view.scale / EARTH_KM_PER_DEG * MILE_KM
    miles = next((m for m in (20, 10, 5, 2, 1) if m * per_mile <= view.width / 3.0), 1)
    x, y, long = MARGIN, view.height - 18.0, miles * per_mile
    north = view.width - MARGIN
    return (
        f'<path d="M{x:.1f} {y - 5:.1f}v5h{long:.1f}v-5" fill="none" stroke="{INK}" stroke-width="2"/>'
        f'<text x="{x + long + 8:.1f}" y="{y + 3:.1f}" font-size="13" fill="{INK}">{miles} mi</text>'
        f'<path d="M{north:.1f} {y - 16:.1f}l6 16l-6 -4l-6 4z" fill="{INK}"/>'
        f'<text x="{north - 12:.1f}" y="{y + 2:.1f}" text-anchor="end" font-size="13" fill="{INK}">north</text>'
    )
