"""What was seen and done in a season folder: moths and reports of them, passes, rain, walks, counts, promises,
recommendations and their steps.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence

from springwalk.intake.faults import FileRead
from springwalk.intake.moths import CATCH_COLUMNS, TRAP_COLUMNS, read_catches, read_log_traps, read_traps
from springwalk.intake.opened import Work
from springwalk.intake.passes import PASS_COLUMNS, read_passes
from springwalk.intake.pests import PEST_COLUMNS, read_pest_counts
from springwalk.intake.promises import DONE_COLUMNS, PROMISE_COLUMNS, read_done, read_promises
from springwalk.intake.rain import RAIN_COLUMNS, read_rain
from springwalk.intake.recommendations import (
    RECOMMENDATION_COLUMNS,
    STEP_COLUMNS,
    read_recommendations,
    read_steps,
)
from springwalk.intake.reports import REPORT_COLUMNS, read_reports
from springwalk.intake.rows import Row
from springwalk.intake.tables import Columns
from springwalk.intake.walks import WALK_COLUMNS, read_walks
from springwalk.records import Record

Reader = Callable[[Iterable[Row], Work, str], Sequence[Record]]
"""Reads the rows of one table; the last argument is the file's name."""


def _rain(rows: Iterable[Row], work: Work, name: str) -> Sequence[Record]:
    return read_rain(rows, work.ids, as_is=work.as_is(name), command=work.command(name))


TABLES: tuple[tuple[str, Columns, Reader], ...] = (
    ("flight_reports", REPORT_COLUMNS, lambda rows, work, name: read_reports(rows, work.ids, work.places)),
    ("walks", WALK_COLUMNS, lambda rows, work, name: read_walks(rows, work.ids)),
    ("passes", PASS_COLUMNS, lambda rows, work, name: read_passes(rows, work.ids)),
    ("rain", RAIN_COLUMNS, _rain),
    ("pest_counts", PEST_COLUMNS, lambda rows, work, name: read_pest_counts(rows, work.ids)),
    ("promises", PROMISE_COLUMNS, lambda rows, work, name: read_promises(rows, work.ids, work.season.season.begins)),
    ("done", DONE_COLUMNS, lambda rows, work, name: read_done(rows, work.ids)),
    ("recommendations", RECOMMENDATION_COLUMNS, lambda rows, work, name: read_recommendations(rows, work.ids)),
    ("recommendation_steps", STEP_COLUMNS, lambda rows, work, name: read_steps(rows, work.ids)),
)
"""The tables that need nothing but what is known of the land, in the order they are read."""


def read_seen(work: Work) -> Iterator[FileRead]:
    """Traps and catches, then each of the tables that are there."""
    yield from _moths(work)
    for table, columns, reader in TABLES:
        opened, rows = work.table(table, columns)
        if opened is not None:
            opened.records += reader(rows, work, opened.name)
            yield opened.done(work.ids)


def _moths(work: Work) -> Iterator[FileRead]:
    opened, rows = work.table("traps", TRAP_COLUMNS)
    if opened is not None:
        opened.records += read_traps(rows, work.ids, work.places)
        yield opened.done()
    opened, rows = work.table("catches", CATCH_COLUMNS)
    if opened is not None:
        log = list(rows)
        traps, catches = read_log_traps(log, work.ids, work.places), read_catches(log, work.ids)
        opened.records += [*traps, *(catch for _, catch in catches)]
        opened.lines = {catch.natural_key(): line for line, catch in catches}
        yield opened.done()
