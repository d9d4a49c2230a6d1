"""The ``springwalk`` program: its commands, and the one place where an error becomes a line and an exit code."""

from __future__ import annotations

import errno
import io
import os
import sys
import traceback
from typing import Annotated

import typer

from springwalk import __version__
from springwalk.cli import (
    advising,
    counting,
    due,
    endings,
    entries,
    export,
    heat,
    morning,
    pests,
    recommending,
    replanting,
    sampling,
    searching,
    season,
    stand,
    walking,
)
from springwalk.cli.talk import tell
from springwalk.errors import BadFile, SpringwalkError

DEBUG_VARIABLE = "SPRINGWALK_DEBUG"
_DISK_FULL = (errno.ENOSPC, errno.EDQUOT)

app = typer.Typer(
    name="springwalk",
    rich_markup_mode=None,  # plain help: examples keep their lines, and nothing heavy is loaded for colours
    pretty_exceptions_enable=False,
    add_completion=False,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
season.add_to(app)
morning.add_to(app)
due.add_to(app)
entries.add_to(app)
endings.add_to(app)
heat.add_to(app)
pests.add_to(app)
sampling.add_to(app)
advising.add_to(app)
recommending.add_to(app)
walking.add_to(app)
counting.add_to(app)
searching.add_to(app)
stand.add_to(app)
replanting.add_to(app)
export.add_to(app)


def _show_version(asked: bool) -> None:
    if asked:
        typer.echo(f"springwalk {__version__}")
        raise typer.Exit


@app.callback(invoke_without_command=True)
def springwalk(
    context: typer.Context,
    version: Annotated[
        bool, typer.Option("--version", help="Print the version and stop.", callback=_show_version, is_eager=True)
    ] = False,
) -> None:
    """Which corn fields to walk this morning, for what, and why.

    \b
    Begin with:
      springwalk demo             the example season, start to finish
      springwalk start myfarms    an empty season folder of your own to fill in
      springwalk intake myfarms   take it in
      springwalk sheet            today's morning sheet

    \b
    Exit codes: 0 done, 2 the command line itself, 3 a bad value, 4 a file that cannot be read,
    5 the store, 6 not found, 7 a date outside the season, 9 taken in with rows left out, 1 anything else.
    """
    if context.invoked_subcommand is None:
        typer.echo(context.get_help())


def run() -> None:
    """Run the program on the words of the command line and leave with its exit code."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a terminal without a degree sign must not stop the answer
    code = answer(sys.argv[1:])
    _let_go_of_output()
    sys.exit(code)


def _let_go_of_output() -> None:
    """Drop what stdout could not take, or Python would complain of it once more on its way out."""
    for stream in (sys.stdout, sys.stderr):
        try:
            if stream is not None:
                stream.flush()
        except (OSError, ValueError):
            nowhere = os.open(os.devnull, os.O_WRONLY)
            os.dup2(nowhere, stream.fileno())


def answer(words: list[str]) -> int:
    """Run one command line and return its exit code; no error leaves as a traceback unless SPRINGWALK_DEBUG=1."""
    try:
        app(args=words, prog_name="springwalk")
    except SystemExit as left:
        return left.code if isinstance(left.code, int) else int(left.code is not None)
    except KeyboardInterrupt:
        return 130
    except SpringwalkError as error:
        return _told(error)
    except Exception as error:
        if isinstance(error, OSError) and error.errno in _DISK_FULL:
            return _told(BadFile("output", "stdout", "no space left on the disk", "make room, or write elsewhere"))
        if not _show_traceback_if_asked():
            told = " ".join(f"{type(error).__name__}: {error}".split())
            tell(f"springwalk failed ({told}), please report it; {DEBUG_VARIABLE}=1 shows where.")
        return 1
    return 0


def _told(error: SpringwalkError) -> int:
    _show_traceback_if_asked()
    tell(str(error))
    return error.exit_code


def _show_traceback_if_asked() -> bool:
    """Print the traceback where the environment asks for it; say whether it did."""
    if os.environ.get(DEBUG_VARIABLE) != "1":
        return False
    traceback.print_exc()
    return True
