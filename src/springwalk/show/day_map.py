"""The day as a map: fields where they lie, each person's way between them, as SVG text without any outside picture."""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, hypot, radians, sin
from typing import TYPE_CHECKING, Literal
from xml.sax.saxutils import escape

from springwalk.show.faces import FACE, embedded_css

if TYPE_CHECKING:
    from springwalk.jobs.day_said import Day

Size = Literal["wide", "narrow"]
At = tuple[float, float]

INK, PAPER, LAND, LEFT = "#151515", "#fbfaf6", "#E4DFD4", "#FFFFFF"
WAYS = (("#0072B2", ""), ("#D55E00", "9 5"), ("#007A59", "3 4"), ("#7A4A8A", "12 4 3 4"), ("#4A463E", "1 5"))
"""Colour and dashes of each person's way: told apart by dashes too, and the numbers carry the person's letter."""
EARTH_KM_PER_DEG = 111.2
MILE_KM = 1.609344
MARGIN = 34.0
BELOW = 22.0
"""Height of the strip with the scale and the north arrow."""
RADIUS: dict[Size, float] = {"wide": 13.0, "narrow": 9.0}
LETTERS: dict[Size, int] = {"wide": 12, "narrow": 10}
"""Of the numbered circles: their radius, and the size of what stands in them."""
WORD = 34.0
"""How wide the word at the start is."""
ROUNDS = 300
WIDE_TOO = 1.9
"""A map is never more than this many times as wide as it is high, nor the other way round."""


def day_map(day: Day, *, size: Size = "wide", embed: bool = True) -> str:
    """The map of a day; ``embed`` carries the face inside, for a page. The same day gives the same bytes."""
    width = 760.0 if size == "wide" else 360.0
    view = _View(day, width)
    start, true = view.at(day.start), [view.at((v.latitude, v.longitude)) for p in day.people for v in p.visits]
    drawn = apart(true, RADIUS[size], _start_box(start, view), (width, view.height - BELOW))
    body, circles, done = [_fields(day, view)], [], 0
    for k, person in enumerate(day.people):
        mine = slice(done, done + len(person.visits))
        body.append(_way(k, start, true[mine], drawn[mine]))
        circles.append(_circles(k, drawn[mine], size, letter_of(k) if len(day.people) > 1 else ""))
        done = mine.stop
    body += [*circles, _start(start, view)]
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
        self.height = north * self.scale + 2 * MARGIN + BELOW
        self.middle = ((min(lats) + max(lats)) / 2.0, (min(lons) + max(lons)) / 2.0)
        self.width = width

    def at(self, place: At) -> At:
        """Where a (latitude, longitude) is drawn."""
        x = self.width / 2.0 + (place[1] - self.middle[1]) * self.narrow * self.scale
        y = (self.height - BELOW) / 2.0 - (place[0] - self.middle[0]) * self.scale
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


def apart(true: Sequence[At], radius: float, box: tuple[float, float, float, float], size: At) -> list[At]:
    """Where circles are drawn so that none lies on another or on the ``box`` (left, top, right, bottom) of the start.

    Each stays as near its place as a few pushes leave it, inside a picture of ``size``; the same places give the same
    circles. Where there is no room for all of them some still touch.
    """
    at = list(true)
    room = 2 * radius + 2.0
    for _ in range(ROUNDS):
        before = list(at)
        for i in range(len(at)):
            for j in range(i + 1, len(at)):
                at[i], at[j] = _pushed(at[i], at[j], room, i + j)
        at = [_inside(_off(place, radius + 2.0, box), radius, size) for place in at]
        if all(hypot(x - u, y - v) < 0.01 for (x, y), (u, v) in zip(at, before, strict=True)):
            break
    return at


def _pushed(a: At, b: At, room: float, k: int) -> tuple[At, At]:
    """Two places moved from each other until they are ``room`` apart; ``k`` says which way where they are one."""
    far = hypot(b[0] - a[0], b[1] - a[1])
    if far >= room:
        return a, b
    east, south = ((b[0] - a[0]) / far, (b[1] - a[1]) / far) if far > 0.01 else (cos(k), sin(k))
    by = (room - far) / 2.0 + 0.01
    return (a[0] - by * east, a[1] - by * south), (b[0] + by * east, b[1] + by * south)


def _off(place: At, room: float, box: tuple[float, float, float, float]) -> At:
    """A place moved the shortest way up, down or sideways until it is ``room`` off a box."""
    x, y = place
    left, top, right, bottom = box[0] - room, box[1] - room, box[2] + room, box[3] + room
    if not (left < x < right and top < y < bottom):
        return place
    ways = [(x - left, (left, y)), (right - x, (right, y)), (y - top, (x, top)), (bottom - y, (x, bottom))]
    return min(ways)[1]


def _inside(place: At, radius: float, size: At) -> At:
    edge = radius + 1.0
    return min(max(place[0], edge), size[0] - edge), min(max(place[1], edge), size[1] - edge)


def _way(k: int, start: At, true: Sequence[At], drawn: Sequence[At]) -> str:
    """One person's way from circle to circle, and a thin line from each circle that was moved to its true place."""
    if not drawn:
        return ""
    colour, dashes = WAYS[k % len(WAYS)]
    line = " ".join(f"{x:.1f},{y:.1f}" for x, y in [start, *drawn, start])
    dash = f' stroke-dasharray="{dashes}"' if dashes else ""
    out = [f'<polyline points="{line}" fill="none" stroke="{colour}" stroke-width="2.5"{dash} opacity="0.85"/>']
    for (x, y), (u, v) in zip(drawn, true, strict=True):
        if hypot(x - u, y - v) > 1.0:
            out.append(
                f'<line x1="{x:.1f}" y1="{y:.1f}" x2="{u:.1f}" y2="{v:.1f}" stroke="{INK}" stroke-width="1"/>'
                f'<rect x="{u - 1.5:.1f}" y="{v - 1.5:.1f}" width="3" height="3" fill="{INK}"/>'
            )
    return "".join(out)


def _circles(k: int, drawn: Sequence[At], size: Size, letter: str) -> str:
    """One person's numbered circles."""
    colour, tall, out = WAYS[k % len(WAYS)][0], LETTERS[size], []
    for number, (x, y) in enumerate(drawn, start=1):
        out.append(
            f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{RADIUS[size]:.0f}" fill="{colour}" stroke="{PAPER}"'
            f' stroke-width="2"/>'
            f'<text x="{x:.1f}" y="{y + 0.37 * tall:.1f}" text-anchor="middle" font-size="{tall}" font-weight="700"'
            f' fill="#ffffff">{escape(letter)}{number}</text>'
        )
    return "".join(out)


def _word_at_left(at: At, view: _View) -> bool:
    return at[0] + 13 + WORD > view.width


def _start_box(at: At, view: _View) -> tuple[float, float, float, float]:
    """What the square and the word at the start take up: left, top, right, bottom."""
    x, y = at
    long = 13 + WORD
    return (x - long, y - 9, x + 9, y + 9) if _word_at_left(at, view) else (x - 9, y - 9, x + long, y + 9)


def _start(at: At, view: _View) -> str:
    """A square and the word, which stands on the side where there is room for it."""
    x, y = at
    word = (f'x="{x - 13:.1f}"', "end") if _word_at_left(at, view) else (f'x="{x + 13:.1f}"', "start")
    return (
        f'<rect x="{x - 8:.1f}" y="{y - 8:.1f}" width="16" height="16" fill="{PAPER}" stroke="{INK}"'
        f' stroke-width="2.5"/>'
        f'<text {word[0]} y="{y + 5:.1f}" text-anchor="{word[1]}" font-size="13" font-weight="700" fill="{INK}"'
        f' stroke="{PAPER}" stroke-width="3" paint-order="stroke">start</text>'
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
