"""A program that is killed: every step it made is there whole or not at all."""

from __future__ import annotations

import random
import subprocess
import sys
import time
from pathlib import Path

import pytest

from springwalk.store import open_store
from springwalk.store.days import days
from springwalk.store.entries import heads

HALF_WAY = """
import sys, time
from springwalk.store import open_store
from springwalk.store.entries import append_raw
from springwalk.store.days import put_days
from springwalk.records import Day
store = open_store(sys.argv[1])
with store.writing() as write:
    write.connection.exec_driver_sql("PRAGMA cache_size = 10")  # so that half the step is on the disk already
    for number in range(200):
        append_raw(write, "count", 1, "x" * 20000, thing=f"t{number}")
    put_days(write, [Day(station="n", date="2026-04-01", min_c=1)])
    print("half way", flush=True)
    if sys.argv[2] == "stay":
        time.sleep(600)
print("kept", flush=True)
time.sleep(600)
"""

FIVES = """
import sys
from springwalk.store import open_store
from springwalk.store.entries import append_raw
store = open_store(sys.argv[1])
for step in range(100000):
    with store.writing() as write:
        for number in range(5):
            append_raw(write, "count", 1, "x" * 500, thing=f"{step}-{number}")
    print(step, flush=True)
"""


def started(script: str, *arguments: str) -> subprocess.Popen[str]:
    """A program of its own that runs ``script``."""
    return subprocess.Popen([sys.executable, "-c", script, *arguments], stdout=subprocess.PIPE, text=True)


@pytest.fixture
def location(tmp_path: Path) -> str:
    """An empty store that no one has open."""
    path = str(tmp_path / "s.db")
    open_store(path, create=True).close()
    return path


@pytest.mark.parametrize(("when", "said", "kept"), [("stay", "half way", 0), ("go", "kept", 200)])
def test_a_step_cut_off_by_a_kill_is_whole_or_absent(location: str, when: str, said: str, kept: int) -> None:
    """A battery that dies in the middle of an intake must not leave half a folder."""
    with started(HALF_WAY, location, when) as program:
        assert program.stdout is not None
        while program.stdout.readline().strip() != said:
            assert program.poll() is None
        if kept == 0:
            assert Path(location + "-wal").stat().st_size > 1_000_000, "nothing was on the disk yet: no test"
        program.kill()
    with open_store(location) as store, store.reading() as read:
        assert len(heads(read)) == kept
        assert len(days(read)) == bool(kept)
        assert read.counter == kept
        assert read.connection.exec_driver_sql("PRAGMA integrity_check").scalar() == "ok"


@pytest.mark.slow
def test_kills_at_any_moment_lose_no_step_that_was_told_as_kept(location: str) -> None:
    """Once the receipt is out the record stays, whenever the program dies."""
    chance = random.Random(7)
    told = 0
    for _ in range(4):
        with started(FIVES, location) as program:
            assert program.stdout is not None
            first = program.stdout.readline()
            time.sleep(chance.uniform(0.01, 0.15))
            program.kill()
            steps = len([first, *program.stdout.read().splitlines()])
        with open_store(location) as store, store.reading() as read:
            found = store.counter - told
            assert found % 5 == 0
            assert found // 5 in (steps, steps + 1), "a kill may fall between the keeping and the telling"
            told = store.counter
            seqs = read.connection.exec_driver_sql("SELECT seq FROM entries ORDER BY seq").scalars().all()
            assert list(seqs) == list(range(1, told + 1))
