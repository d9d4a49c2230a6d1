"""A receipt as text: a line a file with what it changed, then what was left out, suspected and noted, causes first."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from springwalk.cli.talk import say, say_json

if TYPE_CHECKING:
    from springwalk.intake import Fault
    from springwalk.jobs.receipt import FileReceipt, Receipt

REVISIONS_SHOWN = 20
THINGS_NAMED = 8
ALIKE_SHOWN = 3
NOTES_SHOWN = 1
MORE = "more like it"
ROWS_NAMED = 6
_FEATURE = re.compile(r"^feature (\d+)(?: \(.*?\))?: ")
_HEADINGS = {"refused": "Left out:", "suspected": "Suspected:", "note": "Noted:"}


class Told:
    """Says each file's receipt as soon as the file is kept, and the faults of all at the end, causes first.

    Where nobody hears it (a closed pipe) the intake goes on; the error comes at the end.
    """

    def __init__(self, location: str, *, all_faults: bool = False, json: bool = False) -> None:
        self.location, self.all_faults, self.json = location, all_faults, json
        self.receipts: list[FileReceipt] = []
        self._names: Sequence[str] = ()
        self._unheard: OSError | None = None

    def files(self, names: Sequence[str]) -> None:
        """Print the head of the table."""
        self._names = names
        counts = f"{'rows':>6} {'left out':>9} {'suspected':>10} {'new':>6} {'same':>6} {'revised':>8}"
        self._say(f"{'file':<{self._width}}  {counts}")

    def kept(self, file: FileReceipt) -> None:
        """Print what one file gave and changed."""
        self.receipts.append(file)
        counts = f"{file.rows:>6} {file.left_out:>9} {file.suspected:>10}"
        row = f"{file.name:<{self._width}}  {counts} {file.new:>6} {file.same:>6} {len(file.revised):>8}"
        self._say("\n".join([row, *_changes(file)]))

    def end(self, receipt: Receipt) -> None:
        """Print what is wrong in the files, and where they went."""
        if self.json:
            say_json(receipt.plain())
            return
        changed = "" if receipt.changed else " Nothing was new."
        self._say("\n".join([*self._faults(), "", f"Taken into {self.location}.{changed}"]))
        if self._unheard is not None:
            raise self._unheard

    def broken(self, error: BaseException) -> None:
        """After an error: print what is wrong in the files kept so far, and how many those are."""
        if not self._names:
            return
        kept = f"{len(self.receipts)} of {len(self._names)} files were kept"
        if self.json:
            changed = any(file.new or file.revised or file.taken_back for file in self.receipts)
            from springwalk.jobs.receipt import Receipt

            plain = Receipt(tuple(self.receipts), changed=changed).plain()
            say_json({**plain, "broken_off": str(error) or type(error).__name__, "files_in_folder": len(self._names)})
            return
        todo = "take the folder in again: nothing is doubled"
        self._say("\n".join([*self._faults(), "", f"{kept} in {self.location}; {todo}."]))

    @property
    def _width(self) -> int:
        return max([len(name) for name in self._names] + [4])

    def _say(self, text: str) -> None:
        if self.json or self._unheard is not None:
            return
        try:
            say(text)
        except OSError as error:
            self._unheard = error

    def _faults(self) -> list[str]:
        """Files that were not read at all come first: other faults follow from them.

        Of many rows that break one rule in one column the first three are told in full and the others counted.
        """
        lines: list[str] = []
        faults = [fault for file in self.receipts for fault in file.faults]
        whole = [fault for fault in faults if fault.whole]
        if whole:
            lines += ["", "Not read at all (correct these first):", *(f"  {fault}" for fault in whole)]
        for severity, heading in _HEADINGS.items():
            found = [fault for fault in faults if fault.severity == severity and not fault.whole]
            if found:
                lines += ["", heading, *_told(found, self.all_faults)]
        if any(MORE in line for line in lines):
            lines += ["", "--all-faults prints each one."]
        return lines


def _changes(file: FileReceipt) -> list[str]:
    """What was revised, taken back, and kept though the file no longer holds it."""
    lines = [f"    revised {item.what}: {item.before} → {item.after}" for item in file.revised[:REVISIONS_SHOWN]]
    if len(file.revised) > REVISIONS_SHOWN:
        lines.append(f"    … and {len(file.revised) - REVISIONS_SHOWN} more; --json lists them all")
    if file.taken_back:
        lines.append(f"    taken back: {_few(file.taken_back)}")
    if file.gone:
        lines.append(f"    held from an earlier {file.name}, not in it now: {_few(file.gone)}; kept")
        lines.append(f"    to take back: {file.to_take_back}")
    return lines


def _few(things: Sequence[str]) -> str:
    more = f" and {len(things) - THINGS_NAMED} more" if len(things) > THINGS_NAMED else ""
    return f"{len(things)} ({', '.join(things[:THINGS_NAMED])}{more})"


def _told(faults: list[Fault], all_faults: bool) -> list[str]:
    """Faults as lines, those of one file, column and rule together."""
    alike: dict[tuple[str, str, str], list[Fault]] = {}
    for fault in faults:
        column = _FEATURE.sub("", fault.column)
        alike.setdefault((fault.file, column, fault.rule), []).append(fault)
    lines = []
    for same in alike.values():
        most = NOTES_SHOWN if same[0].severity == "note" else ALIKE_SHOWN
        shown = same if all_faults or len(same) <= ALIKE_SHOWN else same[:most]
        lines += [f"  {fault}" for fault in shown]
        if len(shown) < len(same):
            lines.append(f"    … and {len(same) - len(shown)} {MORE} ({_rows(same[len(shown) :])})")
    return lines


def _rows(faults: list[Fault]) -> str:
    """Where the other faults stand: rows, or features of an outline file."""
    word = "rows" if faults[0].row else "features"
    places = [str(fault.row) if fault.row else _feature(fault.column) for fault in faults]
    more = " …" if len(places) > ROWS_NAMED else ""
    return f"{word} {', '.join(places[:ROWS_NAMED])}{more}"


def _feature(column: str) -> str:
    match = _FEATURE.match(column)
    return match[1] if match else column
