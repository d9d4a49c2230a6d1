"""The sheet and the field in sentences: headline, lead, rows, the five dated lines."""

from __future__ import annotations

import re
from datetime import date
from typing import NamedTuple

from springwalk.jobs.results import Capture, DateRange, FieldPage, LastWalk, Part, Range, Row, Sheet
from springwalk.show import numbers as n
from springwalk.show.reasons import instar_words, say

NO_FIELDS = "There are no fields in this season yet. Put fields.geojson in the season's folder and take it in."
NOTHING_TO_WALK = "Nothing needs a walk today. Each field below says why, and when to look next."
NO_TEMPERATURES = "Without temperatures nothing can be said. Name a station's file in season.toml and take it in."
YARDSTICK = (
    "At each field: plants expected to be cut per 100 in the next 7 days if nothing is done, or what was counted where"
    " cutting was found. What is expected is a yardstick for the order,"
    " not a count: a field all green under one flight is taken to have 1 larva per 100 plants; ranges are of timing."
)
NO_TRAPS_TODO = "Set a trap, or add traps.csv and catches.csv to the season's folder and take them in."

STAGES = {
    "egg": "egg",
    "instars_1_3": "instars 1–3",
    "instar_4": "instar 4",
    "instar_5": "instar 5",
    "instar_6": "instar 6",
    "pupa": "pupa",
}

HEAT_METHODS = {
    "sine": "single sine",
    "average": "daily average",
    "86/50": "86/50",
    "triangle": "single triangle",
    "clipped-mean": "clipped mean",
}


COLLARS_FROM = {
    "planting date": "from heat since planting",
    "collars seen": "from the collars last seen and heat since",
    "collars seen; no planting date": "from the collars last seen and heat since",
}


class Line(NamedTuple):
    """One of the five dated lines of a field page: a label and its words."""

    label: str
    words: str


def names(items: list[str], most: int = 3) -> str:
    """A short list in words: ``A``, ``A and B``, ``A, B, C and two more``."""
    if len(items) > most + 1:
        items = [*items[:most], n.count(len(items) - most, "more", "more")]
    return items[0] if len(items) == 1 else f"{', '.join(items[:-1])} and {items[-1]}"


def headline(sheet: Sheet) -> str:
    """The answer as one sentence: ``Tuesday 17 May: walk five fields``."""
    day = n.weekday(sheet.today)
    if not sheet.rows and not sheet.rest:
        return f"{day}: no fields yet"
    if not sheet.rows and any(row.cannot_say for row in sheet.rest):
        return f"{day}: can't say which fields to walk"
    if not sheet.rows:
        return f"{day}: no field needs a walk"
    return f"{day}: walk {n.count(len(sheet.rows), 'field')}"


def lead(sheet: Sheet) -> str:
    """When cutting begins and in which fields of today's walk; what to do where there is nothing to walk."""
    if not sheet.rows:
        if any(reason.code == "no_weather" for row in sheet.rest for reason in row.why):
            return NO_TEMPERATURES
        return NOTHING_TO_WALK if sheet.rest else NO_FIELDS
    begun: list[tuple[date, str, DateRange]] = []
    ahead: list[tuple[date, str, DateRange]] = []
    for row in sheet.rows:
        begins = row.parts[0].cutting_begins if row.parts else None
        if row.seen_cutting or begins is None or begins.mid is None:
            continue
        (begun if begins.mid <= sheet.today else ahead).append((begins.mid, known_as(row, sheet), begins))
    seen = [known_as(row, sheet) for row in sheet.rows if row.seen_cutting]
    said = [f"Go first where cutting was found: {names(seen)}."] if seen else []
    if begun:
        said.append(f"Cutting has likely begun in {names([name for _, name, _ in begun])}.")
    if ahead:
        ahead.sort(key=lambda item: item[0])
        said.append(f"It begins {_begins(ahead)}." if begun else f"Cutting begins {_begins(ahead)}.")
    return " ".join(said) or "No date of first cutting can be given for today's fields; each says why below."


def known_as(row: Row, sheet: Sheet) -> str:
    """A field's name, with its grower where two fields of the sheet share the name."""
    same = [other for other in (*sheet.rows, *sheet.rest) if other.name == row.name]
    return f"{row.name} ({row.grower or row.field})" if len(same) > 1 else row.name


def _begins(ahead: list[tuple[date, str, DateRange]]) -> str:
    """``19 May (17–22) in A and B, and 22 May (19–26) in C``: same dates together, two at most."""
    groups: dict[str, list[str]] = {}
    for _, name, begins in ahead:
        groups.setdefault(n.dates(begins), []).append(name)
    shown = [f"{when} in {names(found)}" for when, found in list(groups.items())[:2]]
    more = sum(len(found) for found in list(groups.values())[2:])
    if more:
        shown.append(f"later in {n.count(more, 'more', 'more')}")
    return ", and ".join(shown) if len(shown) < 3 else f"{shown[0]}, {shown[1]}, and {shown[2]}"


def why(row: Row) -> str:
    """Why this field, or why not: which part leads, then its reasons as sentences."""
    part = row.parts[0] if row.parts else None
    lead_part = [f"Worst part: {row.lead_part}, {n.area(part.area_ha)}."] if row.lead_part and part else []
    return " ".join([*lead_part, *(say(reason) for reason in row.why)])


def now(row: Row) -> str:
    """Where corn and larvae stand this morning, the rule's dates by every method, and when to look first."""
    span = begin_span(row)
    look = f"first look {n.day(row.first_look)}" if row.first_look else ""
    dates = f"{span}; {look}" if span and look else span or f"{look[:1].upper()}{look[1:]}"
    return f"{stage(row)} {dates}.".strip() if dates else stage(row)


def stage(row: Row) -> str:
    """Where corn and larvae of the part that leads stand this morning; "" where neither is known."""
    part = row.parts[0] if row.parts else None
    if part is None:
        return ""
    said = [_corn_now(part)] if part.collars is not None else []
    if part.shares is not None:
        shares: dict[str, Range] = {key: getattr(part.shares, key) for key in STAGES}
        most = max(shares, key=lambda key: shares[key].mid)
        able, rest = n.share(part.shares.able), n.share(shares[most])
        said.append(f"{able} of larvae can cut; most, {rest}, are {_in_stage(most)}")
    text = "; ".join(said)
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def _in_stage(stage: str) -> str:
    return f"in {STAGES[stage]}" if stage.startswith("instar") else STAGES[stage]


def _corn_now(part: Part) -> str:
    """Corn this morning: not up, at the spike, or its collars."""
    if part.collars is None or part.collars.high < 0.05:
        return f"corn not up yet, expected {n.dates(part.emergence)}" if part.emergence else "corn not up yet"
    if part.collars.mid < 0.05:
        return f"corn about at the spike, up to {n.collars(part.collars.high)}"
    return f"corn {n.collars(part.collars)}"


def begin_span(row: Row) -> str:
    """The dates cutting begins over the ways of counting heat, for the part that leads; "" where there are none."""
    found = row.parts[0].begins_by_method if row.parts else {}
    dates = [day for day in found.values() if day is not None]
    if not dates:
        return ""
    ways = n.count(len(found), "way")
    return f"By {ways} of counting heat cutting begins {n.span(min(dates), max(dates))}"


def look_for(row: Row) -> str:
    """What to look for there, as sentences."""
    return " ".join(say(reason) for reason in row.look_for)


def place(row: Row) -> str:
    """Grower and area: ``North Bend Farm, 78.4 acres``."""
    return f"{row.grower}, {n.area(row.area_ha)}" if row.grower else n.area(row.area_ha)


def stake(row: Row) -> n.Shown:
    """What the field's place on the sheet rests on: what was counted where cutting was found, else what is expected."""
    last = row.last_walk
    if row.seen_cutting and last and last.fresh_cut:
        return n.Shown(
            f"{n.count(last.fresh_cut, 'of', 'of', words=False)} {n.count(last.places, 'plant', words=False)} cut"
        )
    if row.seen_cutting and last:
        return n.Shown("larvae or cuts found")
    return expected(row)


def expected(row: Row) -> n.Shown:
    """Plants expected to be cut in the next 7 days; "" where it cannot be said."""
    return n.per_100(row.cut_next_7_per_100) if row.cut_next_7_per_100 else n.Shown("")


def stake_label(row: Row) -> str:
    """What kind of number the stake is: counted on a day, or expected."""
    if row.seen_cutting and row.last_walk:
        return f"found {n.day(row.last_walk.walked)}"
    return "expected cut in 7 days"


def next_look(row: Row, today: date) -> str:
    """When to look next, in words that can stand alone; a day already past is said to be past."""
    if row.walk_today:
        after = f"; then come back {n.weekday(row.come_back)}" if row.come_back else ""
        return f"Today{after}."
    look = coming_look(row, today)
    if look is None:
        return "Can't say yet; see why." if row.cannot_say else "No walk is due for cutworm."
    return f"{n.weekday(look)}."


def coming_look(row: Row, today: date) -> date | None:
    """The date of the next look at a field not walked today; None where none is due."""
    look = row.come_back or row.first_look
    return look if look and look > today else None


def rest_words(row: Row, today: date) -> str:
    """Why a field needs no walk today and when to look next, the date said once."""
    look = coming_look(row, today)
    if look is None or any(reason.code == "not_yet" and reason.facts.get("first_look") for reason in row.why):
        return why(row)
    return f"{why(row)} Next look {n.weekday(look)}."


def rest_groups(sheet: Sheet) -> list[tuple[str, list[Row]]]:
    """The fields left out under two headings: what can't be said yet, and what needs no walk today."""
    unknown = [row for row in sheet.rest if row.cannot_say]
    known = [row for row in sheet.rest if not row.cannot_say]
    groups = [
        (f"Can't say yet: {n.count(len(unknown), 'field')}", unknown),
        (f"No walk needed today: {n.count(len(known), 'field')}", known),
    ]
    return [(title, rows) for title, rows in groups if rows]


def part_name(part: Part) -> str:
    """What part of a field is meant; "whole field" where it has only one."""
    told = [f"planting {part.planting}" if part.planting else "", part.zone or ""]
    return ", ".join(text for text in told if text) or "whole field"


def walk_words(walk: LastWalk) -> str:
    """A walk as counted: when, who, cuts, larvae, collars."""
    who = f" by {walk.person}" if walk.person else ""
    places = n.count(walk.places, "plant place", words=False)
    seen: list[str] = [n.count(walk.fresh_cut, "fresh cut"), n.count(walk.old_cut, "old cut")]
    if walk.leaf_fed:
        seen.append(f"{n.count(walk.leaf_fed, 'plant')} with leaf feeding")
    seen.append(n.count(walk.larvae, "larva", "larvae"))
    corn = f"; corn at {n.collars(walk.collars)}" if walk.collars is not None else ""
    corn += f"; stage typed as {walk.staged}, not used" if walk.staged else ""
    counted = f"{', '.join(seen)} in {places}" if walk.places else "no plants counted"
    return f"{n.day(walk.walked)}{who}: {counted}{_looked(walk)}{corn}."


def _looked(walk: LastWalk) -> str:
    if not walk.looked_places:
        return ""
    cuts = n.count(walk.looked_fresh_cut, "fresh cut")
    return f"; where it looked worst {cuts} in {n.count(walk.looked_places, 'plant place', words=False)}"


def corn_words(part: Part, today: date) -> str:
    """Planting, emergence and collars of the part that decides."""
    if part.planted is None and part.collars is None:
        return "No planting date told; the stage is not known."
    said = [f"Planted {n.day(part.planted)}" if part.planted else "No planting date told"]
    if part.emergence is not None and part.planted:
        up = part.emergence.mid is not None and part.emergence.mid <= today
        said.append(f"{'up' if up else 'to come up'} {n.dates(part.emergence)}")
    if part.collars is not None and part.collars.high >= 0.05:
        basis = f", {COLLARS_FROM.get(part.collars_basis, part.collars_basis)}" if part.collars_basis else ""
        said.append(f"{n.collars(part.collars)} on {n.day(today)}{basis}")
    return "; ".join(said) + "."


def larvae_words(part: Part) -> str:
    """The commonest stage now, when cutting begins, and when nine in ten are through."""
    if part.shares is None:
        return "None expected: no significant capture counts here."
    shares: dict[str, Range] = {key: getattr(part.shares, key) for key in STAGES}
    most = max(shares, key=lambda key: shares[key].mid)
    said = [f"{n.share(shares[most])} {'in' if most.startswith('instar') else 'as'} {STAGES[most]}"]
    if part.cutting_begins is not None:
        instar = f", most then in {instar_words(part.begin_instar)}" if part.begin_instar else ""
        said.append(f"cutting begins {n.dates(part.cutting_begins)}{instar}")
    if part.through_90 is not None:
        said.append(f"nine in ten through feeding {n.dates(part.through_90)}")
    text = "; ".join(said)
    return text[:1].upper() + text[1:] + "."


def five_lines(page: FieldPage) -> tuple[Line, ...]:
    """Last seen, corn, larvae, advice, next look: the top of a field page."""
    row, today = page.row, page.sheet_today
    part = row.parts[0] if row.parts else None
    walked = row.last_walk
    advice = (
        f"None is worked out from a count in this release. The count of {n.day(walked.walked)} stands above."
        if walked
        else "Advice comes from a walk: none counted yet."
    )
    return (
        Line("Last seen", walk_words(walked) if walked else "Nobody has walked it this season."),
        Line("Corn", corn_words(part, today) if part else "No planting told."),
        Line("Larvae", larvae_words(part) if part else "Nothing can be said without a planting."),
        Line("Advice", advice),
        Line("Next look", next_look(row, today)),
    )


def field_headline(page: FieldPage) -> str:
    """The answer for one field: ``Elm Bottom: walk it today``."""
    row = page.row
    if row.walk_today:
        return f"{row.name}: walk it today"
    look = coming_look(row, page.sheet_today)
    if look is None:
        answer = "can't say yet" if row.cannot_say else "no walk needed today"
        return f"{row.name}: {answer}"
    return f"{row.name}: look next on {n.weekday(look)}"


def method_words(method: str) -> str:
    """The name of a way to add up heat as a person says it."""
    return HEAT_METHODS.get(method, method)


def rule_words(rule: str) -> str:
    """A capture rule as a person says it: ``wing-8-in-2`` reads "8 or more in 2 nights, wing trap"."""
    found = re.fullmatch(r"(\w+)-(\d+)-in-(\d+)", rule)
    if found is None:
        return rule or "none for these traps"
    trap, moths, nights = found.groups()
    spell = "one night" if nights == "1" else f"{nights} nights"
    return f"{moths} or more in {spell}, {'any' if trap == 'any' else trap} trap"


def capture_words(capture: Capture) -> str:
    """A significant capture: trap, night, moths."""
    moths = n.number(capture.moths, "moths", decimals=0 if float(capture.moths).is_integer() else 1)
    return f"Night of {n.day(capture.night)}, trap {capture.trap}: {moths} (rule: {rule_words(capture.rule)})."


def heat_words(capture: Capture, method: str) -> str:
    """Heat since a capture by the sheet's method and when the rule's sum is reached; "" if not summed."""
    for item in capture.by_method:
        if item.method == method and item.heat_ddc is not None:
            since = f"{n.heat(item.heat_ddc)} since the capture of {n.day(capture.night)}"
            return f"{since}; 300 °F·day {n.dates(item.reaches_rule)} (base 50 °F, {method_words(method)})."
    return ""


def weather_words(sheet: Sheet | FieldPage) -> str:
    """What the heat rests on: stations, newest day, where the days ahead come from."""
    weather = sheet.weather
    if not weather.stations:
        return "No weather station yet: add one to season.toml and take in its days."
    upto = f" up to {n.day(weather.observed_to)}" if weather.observed_to else ""
    ahead = f"; days ahead from {weather.members_from}" if weather.members_from else ""
    return f"Weather observed at {names(list(weather.stations))}{upto}{ahead}."


def basis_line(sheet: Sheet) -> str:
    """The sources line of the sheet: heat method, capture rule, versions."""
    return (
        f"Heat: base 50 °F, {method_words(sheet.heat_method)}. Significant capture: {rule_words(sheet.capture_rule)}."
        f" Ranges hold 8 times in 10. Springwalk engine {sheet.engine_version}, settings {sheet.settings_hash[:12]}."
    )


def heat_lines(page: FieldPage) -> list[str]:
    """Each capture that counts, and the heat since it by every method used, side by side."""
    lines = []
    for capture in page.row.captures:
        lines.append(capture_words(capture))
        for item in capture.by_method:
            own = " (this sheet's)" if item.method == page.heat_method else ""
            lines.append(
                f"By {method_words(item.method)}{own}: {n.heat(item.heat_ddc)} so far;"
                f" 300 °F·day {n.dates(item.reaches_rule)}."
            )
    return lines or ["No significant capture counts for this field."]


def other_parts(page: FieldPage) -> list[str]:
    """Plantings and zones beside the one that decides: what is there, and when cutting begins."""
    lines = []
    for part in page.row.parts[1:]:
        begins = f" Cutting begins {n.dates(part.cutting_begins)}." if part.cutting_begins else ""
        corn = corn_words(part, page.sheet_today)
        lines.append(f"{part_name(part)}, {n.area(part.area_ha)}: {corn[:1].lower() + corn[1:]}{begins}")
    return lines
