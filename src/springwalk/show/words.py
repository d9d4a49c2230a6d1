"""The sheet and the field in sentences: headline, lead, rows, the five dated lines."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from datetime import date

from springwalk.jobs.results import Capture, FieldPage, Part, Range, Row, Sheet
from springwalk.show import numbers as n
from springwalk.show.facts import upper_first
from springwalk.show.look_text import any_cutworm, few, for_cutworm, jobs_lead, more_looks, pressing
from springwalk.show.reasons import say
from springwalk.show.rest_words import held_up

NO_FIELDS = "There are no fields in this season yet. Put fields.geojson in the season's folder and take it in."
NOTHING_TO_WALK = "Nothing needs a walk today. Each field below says why, and what comes next or what to add."
NO_TEMPERATURES = "Without temperatures nothing can be said. Name a station's file in season.toml and take it in."
YARDSTICK = (
    "At each field: plants expected to be cut per 100 in the next 7 days if nothing is done, or what was counted where"
    " cutting was found. What is expected is a yardstick for the order,"
    " not a count: a field all green under one flight is taken to have 1 larva per 100 plants; ranges are of timing."
)
NO_DATE = "No date of first cutting can be given for today's fields; each says why below."
COMMON_LOOKS = 3
LOOK_ELSEWHERE = "Look for, where nothing else is said:"

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
    if not sheet.rows and any(held_up(row) for row in sheet.rest):
        return f"{day}: no field can be walked yet"
    unknown = sum(row.cannot_say for row in sheet.rest)
    if not sheet.rows and unknown == len(sheet.rest):
        return f"{day}: can't say which fields to walk"
    if not sheet.rows and unknown:
        return f"{day}: no field needs a walk; can't say of {n.count(unknown, 'field')}"
    if not sheet.rows:
        return f"{day}: no field needs a walk"
    return f"{day}: walk {n.count(len(sheet.rows), 'field')}"


def lead(sheet: Sheet) -> str:
    """Three short sentences at most: what presses, then cutting, then how many looks more; or why there is no walk.

    Where nothing presses and nothing is cut the day's jobs are named.
    """
    if not sheet.rows:
        if any(reason.code == "no_weather" for row in sheet.rest for reason in row.why):
            return NO_TEMPERATURES
        held = [known_as(row, sheet) for row in sheet.rest if held_up(row)]
        if held:
            return f"Something is due in {names(held)}, but nobody can go in yet. Each says below why, and until when."
        return NOTHING_TO_WALK if sheet.rest else NO_FIELDS
    known = {row.field: known_as(row, sheet) for row in sheet.rows}
    first = [text for text in (pressing(sheet, known), _cutting(sheet, known)) if text]
    said = [*first, more_looks(sheet)] if first else [jobs_lead(sheet, known)]
    return " ".join(text for text in said if text) or NO_DATE


def _cutting(sheet: Sheet, known: dict[str, str]) -> str:
    """One sentence: where cutting was found, where it has likely begun, where it begins next; "" where none is."""
    found, begun, ahead = [], [], []
    for row in sheet.rows:
        begins = row.parts[0].cutting_begins if row.parts else None
        if row.seen_cutting and for_cutworm(row):
            found.append(known[row.field])
        elif begins is not None and begins.mid is not None and for_cutworm(row):
            if begins.mid <= sheet.today:
                begun.append(known[row.field])
            else:
                ahead.append((begins.mid, n.dates(begins), known[row.field]))
    it = "it" if found else "cutting"
    said = [f"go first to {few(found)}, where cutting was found"] if found else []
    if begun or ahead:
        told = [f"has likely begun in {few(begun)}"] if begun else []
        told += [f"begins {_begins(sorted(ahead, key=lambda item: item[0]))}"] if ahead else []
        said.append(f"{it} {', and '.join(told)}")
    return f"{upper_first('; '.join(said))}." if said else ""


def _begins(ahead: list[tuple[date, str, str]]) -> str:
    """``19 May (17–22) in A and B, later in two more``: the fields of the first date, then how many."""
    when = ahead[0][1]
    next_up = [name for _, dates, name in ahead if dates == when]
    more = len(ahead) - len(next_up)
    return f"{when} in {few(next_up)}" + (f", then in {n.count(more, 'more', 'more')}" if more else "")


def known_as(row: Row, sheet: Sheet) -> str:
    """A field's name, with its grower where two fields of the sheet share the name."""
    return known_names((*sheet.rows, *sheet.rest))[row.field]


def known_names(rows: Iterable[Row]) -> dict[str, str]:
    """Each field's id → its name; with its grower where a name stands twice, its id where the grower doesn't tell."""
    fields = {row.field: row for row in rows}
    same_name = Counter(row.name for row in fields.values())
    same_grower = Counter((row.name, row.grower) for row in fields.values())

    def told(row: Row) -> str:
        if same_name[row.name] < 2:
            return row.name
        alone = row.grower and same_grower[row.name, row.grower] < 2
        return f"{row.name} ({row.grower if alone else row.field})"

    return {field: told(row) for field, row in fields.items()}


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
        said.append(f"{able} of larvae can cut; most, {rest}, are {in_stage(most)}")
    text = "; ".join(said)
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def in_stage(stage: str) -> str:
    """Where larvae of a stage are: ``in instar 4``, ``pupae``."""
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


def common_look(sheet: Sheet) -> str:
    """What to look for in most of today's walks, said once; "" where no text stands in three or more of them."""
    told = Counter(look_for(row) for row in sheet.rows if row.look_for and for_cutworm(row))
    text, times = told.most_common(1)[0] if told else ("", 0)
    return text if times >= COMMON_LOOKS else ""


def own_look(row: Row, common: str) -> str:
    """What to look for in a field where it differs from what is said once for all."""
    text = look_for(row)
    return "" if text == common else text


def place(row: Row) -> str:
    """Grower and area: ``North Bend Farm, 78.4 acres``."""
    return f"{row.grower}, {n.area(row.area_ha)}" if row.grower else n.area(row.area_ha)


def stake(row: Row) -> n.Shown:
    """What the field's place on the sheet rests on: what was counted where cutting was found, else what is expected."""
    last = row.last_walk
    if row.seen_cutting and last and last.fresh_cut:
        of = f"{n.count(last.fresh_cut, 'of', 'of', words=False)} {n.count(last.places, 'plant', words=False)}"
        return n.Shown(f"{of} freshly cut")
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


def notes(sheet: Sheet) -> list[str]:
    """The sheet's notes; how fields are ordered for cutworm is said only where one is walked for it."""
    kept = [note for note in sheet.notes if note.code != "order_assumption" or any_cutworm(sheet)]
    return [say(note) for note in kept]


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


def heat_words(capture: Capture, method: str) -> str:
    """Heat since a capture by the sheet's method and when the rule's sum is reached; "" if not summed."""
    for item in capture.by_method:
        if item.method == method and item.heat_ddc is not None:
            what = "capture of" if capture.moths is not None else "flight reported about"
            since = f"{n.heat(item.heat_ddc)} since the {what} {n.day(capture.night)}"
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
