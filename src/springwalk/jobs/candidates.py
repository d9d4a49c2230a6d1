"""The fields that could be visited today, each with its purposes, minutes and money."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from springwalk.jobs.day_said import Purpose
from springwalk.jobs.results import Look, Row
from springwalk.jobs.row import TO_DO
from springwalk.jobs.worth import FieldWorth
from springwalk.tables import numbers
from springwalk.units import ACRES_PER_HA


@dataclass(frozen=True)
class Asked:
    """A field that could be visited: its row, what for, and from which minute it may be entered."""

    row: Row
    purposes: tuple[Purpose, ...]
    opens_min: float
    forced: str
    decided: bool = False
    """What was found there is enough to treat it: a visit could change nothing."""

    @property
    def prize(self) -> float:
        """Money a visit is worth before its hours are paid."""
        return sum(purpose.worth_usd for purpose in self.purposes)

    @property
    def minutes(self) -> float:
        """Expected time in the field."""
        return sum(purpose.minutes for purpose in self.purposes)


def asked_fields(
    rows: Sequence[Row], worth: Mapping[str, FieldWorth], today: date, *, at_dusk: Collection[str] = ()
) -> tuple[Asked, ...]:
    """Fields with anything to do today that may be entered today, in the order of the rows.

    Fields to be searched ``at_dusk`` (ids) and those walked today are not walked for cutworm once more by day.
    A field that opens later today counts from then on; one that is too wet or held out all day does not.
    """
    found = (_asked(row, worth.get(row.field), today, dusk=row.field in at_dusk) for row in rows if row.too_wet is None)
    return tuple(one for one in found if one is not None and one.purposes)


def _asked(row: Row, cutworm: FieldWorth | None, today: date, *, dusk: bool) -> Asked | None:
    opens = _opens_min(row, today)
    if opens is None:
        return None
    looks = [look for look in row.looks if look.state in TO_DO]
    purposes = tuple(_look(row, look, today) for look in looks if look.alone)
    walked = row.last_walk is not None and row.last_walk.walked == today and row.last_walk.places > 0
    if not (walked or dusk) and (row.cutworm or (cutworm is not None and cutworm.prize > 0.0)):
        purposes = (_count(cutworm), *purposes)
    return Asked(row, purposes, opens, _forced(looks), cutworm is not None and cutworm.decided)


def _count(cutworm: FieldWorth | None) -> Purpose:
    """The walk for cutworm; whoever is there makes one stop at least."""
    least = numbers("stopping")["minutes_per_stop"].value
    if cutworm is None:
        return Purpose(code="cutworm", minutes=least, worth_usd=0.0, stops=1.0)
    stops = max(cutworm.stops, 1.0)
    return Purpose(
        code="cutworm", minutes=cutworm.minutes + (stops - cutworm.stops) * least, worth_usd=cutworm.prize, stops=stops,
        searches=cutworm.searches,
    )  # fmt: skip


def _opens_min(row: Row, today: date) -> float | None:
    """Minutes from midnight at which the field may be entered; None where not today."""
    if row.keep_out is None:
        return 0.0
    opens = row.keep_out.opens
    if opens is None or opens.date() > today:
        return None
    begins = datetime.combine(today, datetime.min.time())
    return max((opens - begins).total_seconds() / 60.0, 0.0)


def _forced(looks: Sequence[Look]) -> str:
    """Promised visits and those overdue are kept whatever they earn."""
    if any(look.code == "promise" for look in looks):
        return "promised"
    return "overdue" if any(look.alone and look.state == "overdue" for look in looks) else ""


def _look(row: Row, look: Look, today: date) -> Purpose:
    """A look's worth for the field's area: whole on its last day, a part where there are days left to make it.

    With d days left it counts 1/(d + 1): it can still be made tomorrow, and something may come between (assumption).
    """
    table = numbers("look_worth")
    per_acre = table.get(look.code, table["other"]).value
    days_left = max((look.closes - today).days, 0)
    worth = per_acre * row.area_ha * ACRES_PER_HA / (days_left + 1)
    return Purpose(code=look.code, key=look.key, minutes=look.minutes, worth_usd=worth)
