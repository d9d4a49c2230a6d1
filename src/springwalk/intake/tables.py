"""CSV files to rows: headings first, then each row with the line it begins on."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from springwalk.intake.faults import CLOSE_HEADING, FaultList, did_you_mean, some
from springwalk.intake.rows import Row, Ways
from springwalk.intake.usual import usual_places

_SEPARATOR = re.compile(r"sep=.?", re.IGNORECASE | re.DOTALL)


@dataclass(frozen=True)
class Columns:
    """The columns a table needs, may have, and the user's own headings for them (our name = theirs)."""

    needed: tuple[str, ...]
    optional: tuple[str, ...] = ()
    renamed: Mapping[str, str] = field(default_factory=dict)

    @property
    def all(self) -> tuple[str, ...]:
        """Every column, needed ones first."""
        return self.needed + self.optional

    def heading(self, column: str) -> str:
        """The heading looked for."""
        return self.renamed.get(column, column)


def csv_lines(text: str, faults: FaultList) -> Iterator[tuple[int, list[str]]]:
    """Rows of a comma-separated text, each with the line it begins on; blank lines are passed over.

    A row with broken quotes is listed and left out. A quote that is never closed swallows the rest of the file:
    that is listed too, at the line it opens. A first line ``sep=,``, which spreadsheets write, is passed over.
    """
    first = True
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    while True:
        begins = reader.line_num + 1
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            if "unexpected end" in str(error):
                rule, todo = (
                    "a quote opens here and is never closed; the rest was not read",
                    "close or delete the quote",
                )
            else:
                rule, todo = f"not a row of comma-separated cells ({error})", "mend the quotes in this line"
            faults.refused(begins, "", "(unreadable)", rule, todo)
            continue
        if first and tells_separator(",".join(cells)):
            first = False
            continue
        if any(cell.strip() for cell in cells):
            first = False
            yield begins, cells


def tells_separator(line: str) -> bool:
    """Whether a first line only says what separates the columns: ``sep=,``."""
    return _SEPARATOR.fullmatch(line.strip().strip('"')) is not None


def normal(heading: str) -> str:
    """A heading without its case, outer blanks, and the difference between blank, - and _."""
    return "_".join(heading.strip().casefold().replace("-", " ").replace("_", " ").split())


def separator_fault(cells: list[str], line: int, faults: FaultList) -> bool:
    """Whether the heading line is cut by semicolons or tabs; if so that is listed."""
    if len(cells) != 1:
        return False
    for mark, word in ((";", "semicolons"), ("\t", "tabs")):
        if mark in cells[0].strip():
            todo = "save it again with commas between the columns"
            faults.not_read(line, "headings", cells[0], f"columns are separated by {word}, not commas", todo)
            return True
    return False


def read_table(text: str, columns: Columns, ways: Ways, faults: FaultList) -> Iterator[Row]:
    """Rows of a CSV text by our column names; nothing where the headings won't do.

    A row with more cells than headings is listed and comes out too, marked bad: its cells give None, unheard.
    """
    lines = csv_lines(text, faults)
    line, cells = next(lines, (0, []))
    if not cells:
        faults.not_read(0, "", "no row", "the file has no headings", "write the headings in the first line")
        return
    if separator_fault(cells, line, faults):
        return
    places = _place_columns(cells, line, columns, faults)
    if places is None:
        faults.rows += sum(1 for _ in lines)
        return
    headings = {column: cells[at].strip() for column, at in places.items()}
    for number, row_cells in lines:
        faults.rows += 1
        row = Row(
            faults,
            number,
            {column: row_cells[at] if at < len(row_cells) else "" for column, at in places.items()},
            ways,
            headings=headings,
        )
        extra = [cell for cell in row_cells[len(cells) :] if cell.strip()]
        if extra:
            rule = f"the row has {len(row_cells)} cells, the headings {len(cells)}"
            row.refuse("after the last heading", rule, "quote a cell that holds a comma", value=",".join(extra))
            row.shifted = True
        yield row


def _usual(
    cells: list[str], line: int, found: Mapping[str, list[int]], wanted: Mapping[str, str],
    places: Mapping[str, int], columns: Columns, faults: FaultList,
) -> dict[str, str]:  # fmt: skip
    """Columns that go by a usual heading here (column → heading); they are noted, so that a wrong guess is seen."""
    missing = [column for column in columns.all if column not in places and column not in columns.renamed]
    usual = usual_places(found, missing, set(wanted.values()))
    if usual:
        read = [f"{cells[found[key][0]].strip()} = {column}" for column, key in usual.items()]
        rule, todo = (
            "usual headings read as our columns",
            "name your own under [columns] in season.toml if one is wrong",
        )
        faults.note(line, "headings", some(read, 20), rule, todo)
    return usual


def _place_columns(cells: list[str], line: int, columns: Columns, faults: FaultList) -> dict[str, int] | None:
    found: dict[str, list[int]] = {}
    for at, cell in enumerate(cells):
        if cell.strip():
            found.setdefault(normal(cell), []).append(at)
    wanted = {column: normal(columns.heading(column)) for column in columns.all}
    places = {column: found[key][0] for column, key in wanted.items() if key in found}
    usual = _usual(cells, line, found, wanted, places, columns, faults)
    wanted |= usual
    places |= {column: found[key][0] for column, key in usual.items()}
    fine = True
    for column, key in wanted.items():
        if len(found.get(key, ())) > 1:
            faults.not_read(
                line,
                columns.heading(column),
                columns.heading(column),
                "this heading is there twice",
                "delete or rename one",
            )
            fine = False
    unknown = [cells[at].strip() for key, ats in found.items() if key not in wanted.values() for at in ats]
    missing = [columns.heading(column) for column in columns.needed if column not in places]
    if missing:
        near = [did_you_mean(heading, unknown, closeness=CLOSE_HEADING) for heading in missing]
        hints = [f"{heading}: {hint}?" for heading, hint in zip(missing, near, strict=True) if hint.startswith("did")]
        todo = "add it, or name your own heading under [columns] in season.toml"
        rule = f"needed and not there (found: {some([cell for cell in cells if cell.strip()], 20)})"
        faults.not_read(line, "headings", ", ".join(missing), rule, " ".join([*hints, todo]))
        return None
    if unknown:
        hints = [
            f" ({name}: {hint}?)"
            for name in unknown
            if (hint := did_you_mean(name, columns.all, closeness=CLOSE_HEADING)).startswith("did")
        ]
        todo = "rename or delete them if they were meant to be read" + "".join(hints[:4])
        faults.note(line, "headings", some(unknown), "columns not known here; they are not read", todo)
    return places if fine else None
