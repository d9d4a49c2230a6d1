"""The commands of the morning: sheet, field, serve, and the demo from files to paper."""

from __future__ import annotations

import errno
import json
import os
import shlex
import shutil
import signal
import subprocess
import sys
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest

from springwalk.cli import talk
from springwalk.store import core, open_store
from tests.cli.conftest import Tell

TODAY = ("--today", "2016-05-17")


def test_sheet_as_text_answers_first(tell: Tell, taken: Path) -> None:
    """The first line says how many fields to walk; every field is on the sheet."""
    said = tell("sheet", *TODAY)
    assert (said.code, said.err) == (0, "")
    assert said.out.startswith("Tuesday 17 May: ")
    for name in ("north", "south", "east"):
        assert f"The {name} field" in said.out


def test_sheet_as_json(tell: Tell, taken: Path) -> None:
    """A program reads the same answer, and the same question gives the same bytes."""
    said = tell("sheet", *TODAY, "--json")
    assert (said.code, said.err) == (0, "")
    sheet = json.loads(said.out)
    assert sheet["today"] == "2016-05-17"
    assert sorted(row["field"] for row in sheet["rows"] + sheet["rest"]) == ["east", "north", "south"]
    assert tell("sheet", *TODAY, "--json").out == said.out


def test_sheet_writes_paper(tell: Tell, taken: Path) -> None:
    """The sheet for the truck is one option away; talk goes to stderr."""
    said = tell("sheet", *TODAY, "--pdf", "out.pdf")
    assert (said.code, said.err) == (0, "Wrote out.pdf.\n")
    assert (taken.parent / "out.pdf").read_bytes().startswith(b"%PDF-")
    wrong = tell("sheet", *TODAY, "--pdf", "no/such/out.pdf")
    assert wrong.code == 4
    assert wrong.err.startswith("pdf = no/such/out.pdf: no such file or directory; choose another place for it.")


def test_paper_replaces_only_paper(tell: Tell, taken: Path) -> None:
    """A slip in --pdf must not cost a letter, and least of all the season."""
    folder = taken.parent
    (folder / "letter.txt").write_text("Dear grower", encoding="utf-8")
    os.mkfifo(folder / "pipe")
    (folder / "loop").symlink_to("loop")
    long = "p" * 5000
    before = (folder / "letter.txt").read_bytes(), taken.read_bytes(), sorted(folder.iterdir())
    told = {
        "season.db": "there is another file here, not a PDF",
        "letter.txt": "there is another file here, not a PDF",
        "farm": "a folder, not a file",
        "pipe": "a pipe or device, not a file",
        "loop": "a path the system refuses (Too many levels of symbolic links), not a file",
        long: "a path the system refuses (File name too long), not a file",
    }
    for name, rule in told.items():
        said = tell("sheet", *TODAY, "--pdf", name)
        assert (said.code, said.err) == (4, f"pdf = {name}: {rule}; choose another place for it.\n")
    assert before == ((folder / "letter.txt").read_bytes(), taken.read_bytes(), sorted(folder.iterdir()))


def test_paper_is_written_whole_or_not_at_all(tell: Tell, taken: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A full disk must leave the sheet of yesterday, not half of today's."""
    pdf = taken.parent / "out.pdf"
    pdf.write_bytes(b"%PDF-1.7 of yesterday")
    before = sorted(taken.parent.iterdir())
    with monkeypatch.context() as patched:

        def full(_: int) -> None:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

        patched.setattr(os, "fsync", full)
        said = tell("sheet", *TODAY, "--pdf", "out.pdf")
    assert (said.code, said.err) == (4, "pdf = out.pdf: no space left on device; choose another place for it.\n")
    assert (pdf.read_bytes(), sorted(taken.parent.iterdir())) == (b"%PDF-1.7 of yesterday", before)
    assert tell("sheet", *TODAY, "--pdf", "out.pdf").code == 0
    assert len(pdf.read_bytes()) > 1000
    assert sorted(taken.parent.iterdir()) == before


def test_paper_that_may_not_be_read_is_told_in_our_words(
    tell: Tell, taken: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A closed file is a file (4), not a fault of the command line (2)."""
    (taken.parent / "out.pdf").write_bytes(b"%PDF-1.7")

    def closed(*_: object, **__: object) -> None:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    monkeypatch.setattr(talk, "_is_pdf", closed)
    monkeypatch.setattr(os, "access", lambda *_, **__: False)
    said = tell("sheet", *TODAY, "--pdf", "out.pdf")
    assert (said.code, said.err) == (4, "pdf = out.pdf: permission denied; choose another place for it.\n")


def ended(words: str, folder: Path) -> tuple[int, str]:
    """The exit code of a line of shell in which ``springwalk`` is this program, and what it said on stderr."""
    program = f"{shlex.quote(sys.executable)} -c 'from springwalk.cli import run; run()'"
    line = f'set -o pipefail; springwalk() {{ {program} "$@"; }}; {words}'
    others = ("SPRINGWALK_", "PYTHONUNBUFFERED")  # as for most people, words wait in Python's buffer
    kept = {name: value for name, value in os.environ.items() if not name.startswith(others)}
    done = subprocess.run(
        ["bash", "-c", line], cwd=folder, env=kept, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE,
        text=True, check=False, timeout=60,
    )  # fmt: skip
    return done.returncode, done.stderr


FULL = "output = stdout: no space left on the disk; make room, or write elsewhere.\n"
OUTPUTS = [
    ("springwalk sheet --today 2016-05-17 > /dev/full", 4, FULL),
    ("springwalk field north --today 2016-05-17 --json > /dev/full", 4, FULL),
    ("springwalk --help > /dev/full", 4, FULL),
    ("springwalk sheet --today 2016-05-17 > /dev/full 2>&1", 4, ""),
    ("springwalk heat --min 40 --max 60 >&-", 0, ""),
    ("springwalk sheet --today 2016-05-17 --json | head -1", None, ""),
    ("springwalk sheet --today 2016-05-17 --json | true", 1, ""),
    ("springwalk --help | true", 1, ""),
]


@pytest.mark.slow
@pytest.mark.skipif(not Path("/dev/full").exists() or shutil.which("bash") is None, reason="needs bash and /dev/full")
@pytest.mark.parametrize(("words", "code", "told"), OUTPUTS, ids=[row[0] for row in OUTPUTS])
def test_output_that_cannot_be_taken_ends_quietly(taken: Path, words: str, code: int | None, told: str) -> None:
    """A full disk is told in one line and a reader who leaves is no fault of ours: nothing to report."""
    found, err = ended(words, taken.parent)
    assert err == told
    assert found == code or (code is None and found in (0, 1))  # head may leave before or after the last word


def test_a_store_that_may_only_be_read_answers(tell: Tell, taken: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A question must work on a shared drive where nobody may write."""
    before = tell("sheet", *TODAY)
    monkeypatch.setattr(core, "may_write", lambda _: False)
    assert tell("sheet", *TODAY) == before
    assert tell("field", "north", *TODAY).code == 0
    refused = tell("intake", "farm", *TODAY)
    said = "store = season.db: may only be read; check who may write to the file and its folder.\n"
    assert (refused.code, refused.err) == (5, said)


def test_asking_writes_nothing(tell: Tell, taken: Path) -> None:
    """A question must not move the store's counter."""
    with open_store(str(taken)) as store:
        counter = store.counter
    tell("sheet", *TODAY)
    tell("field", "north", *TODAY)
    with open_store(str(taken)) as store:
        assert store.counter == counter


def test_field_as_text_and_json(tell: Tell, taken: Path) -> None:
    """One field, by the id the sheet prints."""
    said = tell("field", "north", *TODAY)
    assert (said.code, said.err) == (0, "")
    assert "The north field" in said.out
    page = json.loads(tell("field", "north", *TODAY, "--json").out)
    assert page["row"]["field"] == "north"
    assert page["sheet_today"] == "2016-05-17"


def test_restored_store_gives_the_same_sheet_to_the_byte(tell: Tell, taken: Path) -> None:
    """A backup that gives another answer is not a backup; phones must notice the restore."""
    before = tell("sheet", *TODAY, "--json").out
    tell("backup", "b.zip")
    tell("restore", "b.zip", "--store", "other.db")
    assert tell("sheet", *TODAY, "--json", "--store", "other.db").out == before
    with open_store(str(taken)) as old, open_store(str(taken.parent / "other.db")) as new:
        assert old.epoch != new.epoch


# words, text on stderr, exit code
BAD = [
    (("field", "nort", *TODAY), "field = nort: no such field in this store; did you mean north.", 6),
    (("sheet", "--today", "2017-05-17"), "today = 2017-05-17: ", 7),
    (("sheet", "--today", "17 May"), "today = '17 May': not a date; write it like 2016-05-17.", 3),
    (("field", "north", "--today", "2016-02-30"), "today = '2016-02-30': not a date; write it like 2016-05-17.", 3),
    (("sheet", "--today", "2016-W20-2"), "today = '2016-W20-2': not a date; write it like 2016-05-17.", 3),
    (("sheet", "--today", "20160517"), "today = '20160517': not a date; write it like 2016-05-17.", 3),
    (("sheet", "--store", ""), "store = '': not a file name; write it like --store season.db, or leave it out.", 3),
    (("field", "north", "--store", " "), "store = ' ': not a file name; write it like --store season.db", 3),
    (("sheet", "--store", "none.db"), "store = none.db: there is no such store; take a folder in first: ", 5),
    (("field", "north", "--store", "none.db"), "store = none.db: there is no such store; ", 5),
    (("serve", "--store", "none.db"), "store = none.db: there is no such store; ", 5),
    (("serve", "--port", "99999"), "port = 99999: outside 1 … 65535; leave --port out for 8016.", 3),
    (("serve", "--port", "many"), "Invalid value for '--port'", 2),
    (("field",), "Missing argument 'ID'", 2),
]


@pytest.mark.parametrize(("words", "told", "code"), BAD)
def test_bad_words(tell: Tell, taken: Path, words: tuple[str, ...], told: str, code: int) -> None:
    """Each way to go wrong has one line and its own exit code, and prints no data."""
    said = tell(*words)
    assert told in said.err
    assert "Traceback" not in said.err
    assert (said.code, said.out) == (code, "")


@pytest.fixture
def served(taken: Path) -> Iterator[subprocess.Popen[str]]:
    """``springwalk serve`` on the small season, as a process of its own."""
    code = "from springwalk.cli import run; run()"
    words = ("serve", "--port", str(_free_port()), "--store", str(taken), *TODAY)
    program = subprocess.Popen(
        [sys.executable, "-c", code, *words], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    yield program
    program.kill()
    program.communicate()


def _free_port() -> int:
    import socket

    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@pytest.mark.slow
def test_serve_prints_a_link_that_opens_the_sheet_and_stops_on_ctrl_c(served: subprocess.Popen[str]) -> None:
    """The page is behind a one-time link on this machine, and Ctrl-C ends it without noise."""
    assert served.stdout is not None
    line = served.stdout.readline()
    link = line.split()[-1]
    assert link.startswith("http://127.0.0.1:")
    opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
    with opener.open(link, timeout=30) as page:
        text = page.read().decode("utf-8")
    assert "17 May" in text
    assert "The north field" in text
    with pytest.raises(urllib.error.HTTPError, match="403") as refused:
        urllib.request.urlopen(link.split("/login")[0] + "/", timeout=30)
    refused.value.close()
    served.send_signal(signal.SIGINT)
    _, err = served.communicate(timeout=30)
    assert "Traceback" not in err
    assert served.returncode in (0, 130)


@pytest.mark.slow
def test_demo_from_files_to_paper_and_again(process: Tell, tmp_path: Path) -> None:
    """The main job must run from nothing, end, and be safe to run twice."""
    said = process("demo")
    assert said.code == 0, said.err
    assert said.out.startswith("Tuesday 17 May: walk ")
    assert "0 rows left out" in said.err
    assert "springwalk serve --store springwalk-demo/season.db --today 2016-05-17" in said.err
    assert (tmp_path / "springwalk-demo" / "sheet.pdf").read_bytes().startswith(b"%PDF-")
    again = process("demo")
    assert again.code == 0
    assert again.out == said.out
    assert ": 0 records new, " in again.err


@pytest.mark.slow
def test_demo_where_nothing_may_be_written(process: Tell, tmp_path: Path) -> None:
    """A file in the way is told as such."""
    (tmp_path / "springwalk-demo").write_text("in the way", encoding="utf-8")
    said = process("demo")
    assert said.code == 4
    assert said.err == "folder = springwalk-demo: file exists; run this where you may write.\n"


@pytest.mark.slow
def test_the_day_is_planned_in_text_json_and_on_paper(tell: Tell, taken: Path, tmp_path: Path) -> None:
    """Two people and seven hours: who goes where and when, before the sheet; the same under ``day`` in JSON."""
    asked = ("sheet", "--people", "Ann,Ben", "--hours", "7", "--from", "40.7,-96.86", *TODAY)
    said = tell(*asked, "--pdf", str(tmp_path / "day.pdf"))
    assert said.code == 0
    assert "today; none that pays is left out." in said.out.splitlines()[0]
    assert "leave 7:00, home" in said.out
    assert (tmp_path / "day.pdf").read_bytes().startswith(b"%PDF")
    day = json.loads(tell(*asked, "--json").out)["day"]
    assert {p["person"] for p in day["people"]} == {"Ann", "Ben"}
    assert day["worth_usd"] <= day["bound_usd"] + 1e-6
    assert all({"arrive", "leave", "prize_usd"} <= set(v) for p in day["people"] for v in p["visits"])
    assert "day" not in json.loads(tell("sheet", *TODAY, "--json").out)
