"""Commands of the morning: sheet, field, serve."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from springwalk.cli.talk import JsonOption, StoreOption, TodayOption, day, hour, opened_store, say, tell, write_bytes
from springwalk.errors import BadValue
from springwalk.settings import store_location

if TYPE_CHECKING:
    from springwalk.jobs.day import Team
    from springwalk.jobs.terms import Terms
    from springwalk.store import Store

DEFAULT_PORT = 8016


def sheet(
    store: StoreOption = None,
    today: TodayOption = None,
    pdf: Annotated[
        Path | None,
        typer.Option("--pdf", metavar="FILE", readable=False, help="Also write the sheet for the truck as a PDF."),
    ] = None,
    at: Annotated[
        str, typer.Option("--at", metavar="HH:MM", help="The hour asked about: fields held out open by it.")
    ] = "",
    people: Annotated[
        str, typer.Option("--people", metavar="N", help="Plan the day for so many people, or for names: Ann,Ben.")
    ] = "",
    hours: Annotated[
        float | None, typer.Option("--hours", metavar="H", help="Plan the day: hours each person has.")
    ] = None,
    leave: Annotated[str, typer.Option("--leave", metavar="HH:MM", help="When they leave.")] = "",
    start: Annotated[
        str, typer.Option("--from", metavar="LAT,LON", help="Where they leave from and come home to.")
    ] = "",
    json: JsonOption = False,
) -> None:
    """The morning sheet: where to walk today, and why.

    Fields in order, what to look for in each, and the fields that need no walk. With --people or --hours the day
    is planned too: who walks which fields in which order, at what times, what is left out and what that costs.

    \b
    Examples:
      springwalk sheet
      springwalk sheet --people 2 --hours 7 --today 2016-05-17
      springwalk sheet --today 2016-05-17 --pdf sheet.pdf
      springwalk sheet --store season.db --today 2016-05-17 --json
    """
    asked = day(today)
    with opened_store(store) as opened:
        planned = None
        if people or hours or leave or start:
            from springwalk.jobs.day import sheet_and_day

            team, terms = _team(opened, people, hours, leave, start)
            result, planned = sheet_and_day(opened, team, terms, today=asked, at=hour(at))
        else:
            from springwalk.jobs.sheet import sheet as job

            result = job(opened, asked, at=hour(at))
    if pdf is not None:
        from springwalk.paper.sheet import sheet as print_sheet

        write_bytes(pdf, print_sheet(result, planned), what="pdf")
        tell(f"Wrote {pdf}.")
    if json:
        from springwalk.show import as_json

        say(as_json.dumps(as_json.sheet(result, planned)))
    else:
        from springwalk.show.terminal import day_lines, sheet as sheet_text

        if planned is not None:
            say(day_lines(planned) + "\n")
        say(sheet_text(result))


def _team(opened: Store, people: str, hours: float | None, leave: str, start: str) -> tuple[Team, Terms]:
    """The team as typed, and the season's terms."""
    from springwalk.jobs.day import team_of
    from springwalk.jobs.snapshot import season_of
    from springwalk.jobs.terms import terms_of
    from springwalk.jobs.typed import place

    season = season_of(opened)
    team = team_of(season, people=people, hours=hours, leave=hour(leave, name="leave"), start=place(start, name="from"))
    return team, terms_of(season)


def field(
    field_id: Annotated[str, typer.Argument(metavar="ID", help="The field's id, as the sheet prints it.")],
    store: StoreOption = None,
    today: TodayOption = None,
    json: JsonOption = False,
) -> None:
    """One field, answer first.

    Last seen, corn, larvae, advice, next look; then what they rest on.

    \b
    Examples:
      springwalk field north-eighty
      springwalk field north-eighty --today 2016-05-17 --json
    """
    asked = day(today)
    with opened_store(store) as opened:
        from springwalk.jobs.field import field as job
        from springwalk.jobs.latest import latest_advice

        result = job(opened, field_id, today=asked)
        morning = latest_advice(opened, today=asked)
        advice = morning.of(result.row.field)
        after = morning.after_of(result.row.field)
    if json:
        from springwalk.show import as_json

        say(as_json.dumps(as_json.field(result, advice, after)))
    else:
        from springwalk.show.terminal import field as field_text

        say(field_text(result, advice, after))


def serve(
    store: StoreOption = None,
    today: TodayOption = None,
    port: Annotated[int, typer.Option("--port", metavar="N", help="Port on this machine.")] = DEFAULT_PORT,
) -> None:
    """The sheet and the field pages in a browser.

    On this machine only; it prints a one-time login link. Stop it with Ctrl-C.

    \b
    Examples:
      springwalk serve
      springwalk serve --store springwalk-demo/season.db --today 2016-05-17
    """
    if not 1 <= port <= 65535:
        raise BadValue("port", port, "outside 1 … 65535", f"leave --port out for {DEFAULT_PORT}")
    asked = day(today)
    from springwalk.serve import run

    run(store_location(store), asked, port)


def add_to(app: typer.Typer) -> None:
    """Add this file's commands to the program."""
    app.command("sheet")(sheet)
    app.command("field")(field)
    app.command("serve")(serve)
