"""The words of one field's page: five dated lines, walks, captures and heat, other parts."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, NamedTuple

from springwalk.jobs.results import Capture, FieldPage, LastWalk, Part, Range
from springwalk.show import numbers as n
from springwalk.show.advice_words import advice_headline, after_words
from springwalk.show.facts import instar_words, upper_first
from springwalk.show.look_text import basis, look_text
from springwalk.show.rest_words import coming_look, next_look
from springwalk.show.words import STAGES, method_words, rule_words
from springwalk.tables import number

if TYPE_CHECKING:
    from springwalk.jobs.advised import AfterTreatment, FieldAdvice

COLLARS_FROM = {
    "planting date": "from heat since planting",
    "collars seen": "from the collars last seen and heat since",
    "collars seen; no planting date": "from the collars last seen and heat since",
}


class Line(NamedTuple):
    """One of the five dated lines of a field page: a label and its words."""

    label: str
    words: str


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
    if part.corn_disagrees:
        said = [f"{said[0]} by what was told, which the corn seen does not fit"]
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
    return upper_first("; ".join(said)) + "."


def advice_line(page: FieldPage, advice: FieldAdvice | None, after: AfterTreatment | None = None) -> str:
    """What is advised, or why nothing is; what was found ``after`` a treatment goes first."""
    if after is not None:
        return after_words(after)
    if advice is not None:
        return upper_first(advice_headline(advice))
    walked = page.row.last_walk
    if walked is None or not walked.places:
        return "Advice comes from a walk: none counted yet."
    if (page.sheet_today - walked.walked).days > number("advice", "walk_tells").value:
        return f"The count of {n.day(walked.walked)} is too old to advise on: walk it again."
    return "None: no larvae of a flight are to be expected on this corn, or it was treated."


def five_lines(
    page: FieldPage, advice: FieldAdvice | None = None, after: AfterTreatment | None = None
) -> tuple[Line, ...]:
    """Last seen, corn, larvae, advice, next look: the top of a field page."""
    row, today = page.row, page.sheet_today
    part = row.parts[0] if row.parts else None
    walked = row.last_walk
    return (
        Line("Last seen", walk_words(walked) if walked else "Nobody has walked it this season."),
        Line("Corn", corn_words(part, today) if part else "No planting told."),
        Line("Larvae", larvae_words(part) if part else "Nothing can be said without a planting."),
        Line("Advice", advice_line(page, advice, after)),
        Line("Next look", next_look_words(page, advice)),
    )


def advised_look(advice: FieldAdvice | None) -> date | None:
    """The day on which the advice asks for another look; None where it asks for none."""
    if advice is None:
        return None
    return min((part.on for part in advice.parts if part.verdict in ("look again", "come back")), default=None)


def next_look_words(page: FieldPage, advice: FieldAdvice | None) -> str:
    """The next look; where the advice asks for an earlier one, that one."""
    row, today = page.row, page.sheet_today
    asked = advised_look(advice)
    due = today if row.walk_today else coming_look(row, today)
    if asked is None or row.keep_out or row.too_wet or (due is not None and due < asked) or (due == asked == today):
        return next_look(row, today)
    return f"{'Today at dusk' if asked == today else n.weekday(asked)}, as advised."


def field_headline(page: FieldPage, advice: FieldAdvice | None = None) -> str:
    """The answer for one field: ``Elm Bottom: walk it today``."""
    row = page.row
    if advice is not None and advice.what != "none" and not row.keep_out:
        return f"{row.name}: {advice_headline(advice).split(';')[0].removesuffix('.')}"
    if advised_look(advice) == page.sheet_today and not (row.walk_today or row.keep_out or row.too_wet):
        return f"{row.name}: look again at dusk today"
    if row.keep_out and not row.walk_today:
        opens = row.keep_out.opens
        return f"{row.name}: keep out until {n.moment(opens) if opens else 'the entry interval is typed'}"
    if row.too_wet and not row.walk_today:
        return f"{row.name}: too wet to walk today"
    if row.walk_today:
        return f"{row.name}: walk it today"
    look = coming_look(row, page.sheet_today)
    if look is None:
        answer = "can't say yet" if row.cannot_say else "no walk needed today"
        return f"{row.name}: {answer}"
    return f"{row.name}: look next on {n.weekday(look)}"


def page_looks(page: FieldPage) -> list[dict[str, str]]:
    """Every look of the field as text, open ones first, each with what its days rest on."""
    row = page.row
    return [{**look_text(x, row), "basis": basis(x), "look": x.key, "field": row.field} for x in row.looks]


def look_lines(page: FieldPage) -> list[str]:
    """Every look of the field, each in one paragraph."""
    lines = []
    for said in page_looks(page):
        front = f"{said['front']}: " if said["front"] else ""
        told = [f"{front}{said['title']}.", said["why"], said["look_for"], said["can_do"], said["not_yet"]]
        lines.append(" ".join(text for text in told if text))
    return lines


def seedbed_lines(page: FieldPage) -> list[str]:
    """Soil and surface water of the part that decides: values with ranges, and when it is fit to walk."""
    bed = page.row.parts[0].seedbed if page.row.parts else None
    if bed is None:
        return []
    lines = []
    if bed.soil_c is not None:
        lines.append(f"Soil at 4 in. (10 cm): {n.temperature(bed.soil_c)}, yesterday's mean, worked from air.")
    if not bed.rain_known:
        return [*lines, "How wet the surface is can't be said: too little rain is known. Note a gauge reading."]
    if bed.drained_mm is not None:
        holds = f" of the {n.rain(bed.holds_mm)} it can lose" if bed.holds_mm is not None else ""
        lines.append(f"Dried out of the top of the soil: {n.rain(bed.drained_mm)}{holds}; none would be wet through.")
    if bed.fit_on is not None:
        lines.append(f"Likely fit to walk {n.weekday(bed.fit_on)} if no more rain falls.")
    return lines


def capture_words(capture: Capture) -> str:
    """A significant capture: trap, night, moths; or a report: who, where, about when."""
    if capture.moths is None:
        return reported_words(capture)
    moths = n.number(capture.moths, "moths", decimals=0 if float(capture.moths).is_integer() else 1)
    how = f"{moths}, readings spread evenly over their nights (rule: {rule_words(capture.rule)})"
    return f"Night of {n.day(capture.night)}, trap {capture.trap}: {how}."


def reported_words(capture: Capture) -> str:
    """A reported flight: who said so, near where, about when; it has no counts."""
    give = f" (± {n.count(capture.nights_either_way, 'night', words=False)})" if capture.nights_either_way else ""
    about = f"about {n.day(capture.night)}" if give else f"on {n.day(capture.night)}"
    return f"Reported by {capture.source} near {capture.trap}: a significant flight {about}{give}, no counts."


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
