"""Every look of one field, with what is over left out, in the order of their dates."""

from __future__ import annotations

from springwalk.jobs.looks.corn_looks import corn_looks
from springwalk.jobs.looks.facts import FieldFacts
from springwalk.jobs.looks.frame import ended
from springwalk.jobs.looks.pest_looks import pest_looks
from springwalk.jobs.looks.weather_looks import weather_looks
from springwalk.jobs.looks.work_looks import work_looks
from springwalk.jobs.results import Look

ORDER = {"overdue": 0, "last day": 1, "due": 2, "coming": 3, "missed": 4}
ANSWERED_BY = {"dig_cold": "dig_cold_again", "spike_check": "stand_count"}
"""Whoever counts a stand sees whether it is up; the second dig for chilled seed says more than the first."""


def looks_of_field(facts: FieldFacts) -> tuple[Look, ...]:
    """The looks of a field that are not over: overdue first, then due, coming, missed; each by the day it closes."""
    found = [*work_looks(facts), *pest_looks(facts)]
    for sown in facts.sown:
        found += [*corn_looks(facts, sown), *weather_looks(facts, sown)]
    # What is only for whoever passes by is never owed: once its window is over it is gone.
    found = [look for look in found if look.alone or look.state not in ("overdue", "missed")]
    open_ones = without_answered([look for look in found if not ended(look, facts)])
    return tuple(sorted(open_ones, key=lambda look: (ORDER[look.state], look.opens, look.closes, look.key)))


def without_answered(looks: list[Look]) -> list[Look]:
    """Looks of a field less those that another open look of the same planting answers on the way.

    The dig at 120 GDD asks for the spike too, from the day it is foreseen.
    """
    opened = {(look.code, look.planting) for look in looks if look.state in ("due", "last day", "overdue")}
    digs = {look.planting for look in looks if look.code == "dig_cold_again" and look.state != "missed"}
    return [
        look for look in looks
        if (ANSWERED_BY.get(look.code), look.planting) not in opened
        and not (look.code == "spike_check" and look.planting in digs)
    ]  # fmt: skip
