"""Promises about the repository itself: sizes, words, pins, imports, and what ``--help`` may load."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
import typer

from springwalk.cli import app

ROOT = Path(__file__).resolve().parent.parent
SOURCE = sorted((ROOT / "src" / "springwalk").rglob("*.py"))
TESTS = sorted((ROOT / "tests").rglob("*.py"))
TOOLS = sorted((ROOT / "benchmarks").rglob("*.py")) + sorted((ROOT / "builders").rglob("*.py"))
REQUIREMENTS = ("requirements.txt", "requirements-dev.txt")
COMMANDS = sorted(typer.main.get_command(app).commands)  # type: ignore[attr-defined]
HEAVY = ("numpy", "scipy", "sqlalchemy", "alembic", "fastapi", "uvicorn", "matplotlib", "shapely", "typst", "jinja2")

FILE_LINES, FUNCTION_LINES, CLASS_LINES = 500, 60, 250
Function = ast.FunctionDef | ast.AsyncFunctionDef


@cache
def tree_of(path: Path) -> ast.Module:
    """The parsed module."""
    return ast.parse(path.read_text(encoding="utf-8"))


@cache
def defined(path: Path) -> tuple[Function | ast.ClassDef, ...]:
    """Its functions and classes, also those inside another; only statements are looked through."""
    found: list[Function | ast.ClassDef] = []
    left: list[ast.AST] = [tree_of(path)]
    while left:
        node = left.pop()
        if isinstance(node, Function | ast.ClassDef):
            found.append(node)
        left += [
            inner for part in ("body", "orelse", "finalbody", "handlers", "cases") for inner in getattr(node, part, ())
        ]
    return tuple(found)


def named(path: Path) -> str:
    """The path as it is written in the repository."""
    return path.relative_to(ROOT).as_posix()


def length(node: Function | ast.ClassDef) -> int:
    """Lines of a function or class, its docstring and decorators left out."""
    lines = (node.end_lineno or node.lineno) - node.lineno + 1
    first = node.body[0]
    if ast.get_docstring(node, clean=False) is not None:
        lines -= (first.end_lineno or first.lineno) - first.lineno + 1
    return lines


def test_no_file_is_over_its_size() -> None:
    """A file that outgrows 500 lines holds two topics; 300 is the aim."""
    sizes = {named(path): len(path.read_text(encoding="utf-8").splitlines()) for path in SOURCE + TESTS + TOOLS}
    assert SOURCE
    assert {name: size for name, size in sizes.items() if size > FILE_LINES} == {}


@pytest.mark.slow
def test_no_function_is_over_its_size() -> None:
    """A function of more than 60 lines cannot be read in one look."""
    long = [
        f"{named(path)}:{node.lineno} {node.name}: {length(node)}"
        for path in SOURCE + TOOLS
        for node in defined(path)
        if isinstance(node, Function) and length(node) > FUNCTION_LINES
    ]
    assert long == []


def test_no_class_is_over_its_size() -> None:
    """A class of more than 250 lines does more than one thing."""
    long = [
        f"{named(path)}:{node.lineno} {node.name}: {length(node)}"
        for path in SOURCE + TOOLS
        for node in defined(path)
        if isinstance(node, ast.ClassDef) and length(node) > CLASS_LINES
    ]
    assert long == []


def test_length_leaves_the_docstring_out() -> None:
    """The size test itself must count what it says it counts."""
    node = ast.parse('def f():\n    """One.\n\n    Two.\n    """\n    x = 1\n    return x\n').body[0]
    assert isinstance(node, Function)
    assert length(node) == 3


@pytest.mark.slow
def test_every_module_says_what_it_is() -> None:
    """A reader who opens a file is told in its first line what it holds."""
    silent = [
        named(path)
        for path in SOURCE + TOOLS
        if path.stat().st_size and "migrations/versions" not in named(path) and not ast.get_docstring(tree_of(path))
    ]
    assert silent == []


@pytest.mark.slow  # lint says it too
def test_every_test_gives_its_reason() -> None:
    """A test without a reason is removed or kept for the wrong one later."""
    silent = [
        f"{named(path)}:{node.lineno} {node.name}"
        for path in TESTS
        for node in defined(path)
        if isinstance(node, Function) and node.name.startswith("test_") and not ast.get_docstring(node)
    ]
    assert silent == []


def pins(name: str) -> Iterator[tuple[str, int]]:
    """Each pinned package of a requirement file with the number of its hashes."""
    for block in re.split(r"\n(?=\S)", (ROOT / name).read_text(encoding="utf-8").strip()):
        if not block.startswith("#"):
            yield block.split("\\", 1)[0].strip(), len(re.findall(r"--hash=sha256:[0-9a-f]{64}\b", block))


@pytest.mark.parametrize("name", REQUIREMENTS)
def test_requirements_name_no_address(name: str) -> None:
    """Where packages come from is the machine's matter, never the repository's."""
    text = (ROOT / name).read_text(encoding="utf-8")
    address = r"(?im)https?:|file:|ftp:|^\s*-(?!-hash=)\S+|index-url|find-links|trusted-host|#\s*via|\s@\s"
    found = re.findall(address, text)
    assert found == []


@pytest.mark.parametrize("name", REQUIREMENTS)
def test_requirements_are_pinned_with_hashes(name: str) -> None:
    """The same install on every machine, and nothing that was changed on the way."""
    rows = list(pins(name))
    assert len(rows) > 20
    assert [row for row in rows if not re.fullmatch(r"[A-Za-z0-9._-]+==\S+( ;.*)?", row[0]) or row[1] == 0] == []


def test_the_two_requirement_files_agree() -> None:
    """Tests must run on the very releases that users get."""
    runtime, both = dict(pins("requirements.txt")), dict(pins("requirements-dev.txt"))
    assert set(runtime) - set(both) == set()


def test_tests_and_code_read_nothing_beside_the_repository() -> None:
    """A clone alone must be enough to build and test."""
    word = "sha" + "red"
    pattern = re.compile(rf"\.\./{word}|/{word}/|[\"']{word}[\"'/]")
    guilty = [named(path) for path in SOURCE + TESTS + TOOLS if pattern.search(path.read_text(encoding="utf-8"))]
    assert guilty == []


def tracked() -> list[Path]:
    """Every file that is or could be committed; where git is missing, every file outside hidden folders."""
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    if listed.returncode == 0:
        return [ROOT / name for name in listed.stdout.split("\0") if name and (ROOT / name).is_file()]
    return [path for path in ROOT.rglob("*") if path.is_file() and not named(path).startswith((".venv", ".git/"))]


def test_words_that_do_not_belong_here() -> None:
    """The repository speaks to its readers, not of how it came to be written."""
    words = ("trans" + "cript", "seed " + "document")
    guilty = [
        named(path)
        for path in tracked()
        if any(word in path.read_bytes().decode("utf-8", "replace").lower() for word in words)
    ]
    assert guilty == []


@pytest.mark.slow  # lint says it too
def test_imports_keep_to_the_house() -> None:
    """Upper parts may import lower ones, siblings may not import each other."""
    program = Path(sys.executable).parent / "lint-imports"
    done = subprocess.run(
        [str(program), "--no-cache"], cwd=ROOT, capture_output=True, text=True, check=False, timeout=120
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert re.search(r"Contracts: \d+ kept, 0 broken", done.stdout)


HELP = """
import contextlib, functools, io, sys, typer
from springwalk.cli.app import answer
typer.main.get_command = functools.cache(typer.main.get_command)
for words in {lines!r}:
    with contextlib.redirect_stdout(io.StringIO()) as said:
        code = answer(words)
    assert code == 0, (words, code)
    assert "Usage:" in said.getvalue(), words
    loaded = sorted(name for name in {heavy!r} if name in sys.modules)
    assert not loaded, (words, loaded)
"""


def test_help_loads_nothing_heavy() -> None:
    """Help must come at once, and must work where an extra part is broken."""
    assert {"sheet", "heat-sum"} <= set(COMMANDS)
    lines = [["--help"], ["-h"], []] + [[command, flag] for command in COMMANDS for flag in ("--help", "-h")]
    code = HELP.format(lines=lines, heavy=HEAVY)
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False, timeout=60)
    assert done.returncode == 0, done.stderr
