"""How the command tests speak to the program: the same door as the console entry, or a real process."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest
import typer

from springwalk.cli.app import answer
from tests.seasons import write_season
from tests.stores import season_store


@dataclass(frozen=True)
class Said:
    """What a command printed and how it ended."""

    code: int
    out: str
    err: str


Tell = Callable[..., Said]
_built_once = cache(typer.main.get_command)
"""The command tree, which a process of its own builds once and for one command."""


@pytest.fixture
def tell(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Tell:
    """Run a command line in this process, in an empty folder, with no store in the environment."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("SPRINGWALK_STORE", raising=False)
    monkeypatch.delenv("SPRINGWALK_DEBUG", raising=False)
    monkeypatch.setattr(typer.main, "get_command", _built_once)

    def run(*words: object) -> Said:
        capsys.readouterr()
        code = answer([str(word) for word in words])
        said = capsys.readouterr()
        return Said(code, said.out, said.err)

    return run


@pytest.fixture
def process(tmp_path: Path) -> Tell:
    """Run a command line as a person does: a process of its own in an empty folder."""

    def run(*words: object, **environment: str) -> Said:
        kept = {name: value for name, value in os.environ.items() if not name.startswith("SPRINGWALK_")}
        code = "from springwalk.cli import run; run()"
        done = subprocess.run(
            [sys.executable, "-c", code, *map(str, words)],
            cwd=tmp_path, env={**kept, **environment}, capture_output=True, text=True, check=False, timeout=120,
        )  # fmt: skip
        return Said(done.returncode, done.stdout, done.stderr)

    return run


@pytest.fixture
def taken(tell: Tell, tmp_path: Path) -> Path:
    """A store with the small season in it, at ./season.db."""
    write_season(tmp_path / "farm")
    return Path(season_store(tmp_path / "season.db"))
