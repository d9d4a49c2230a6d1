"""A small season to replant in at the desk, and a page of it as a browser sees it."""

from __future__ import annotations

import html
import re
from pathlib import Path
from urllib.parse import urlencode

from tests.desk.client import Client
from tests.seasons import SEASON
from tests.stores import season_store

REST, LOW = "stand-rest/1", "stand-low/1"
"""The boxes of east's two parts; a field of one part has one named stand."""
MONEY = SEASON.replace("[[station]]", "[money]\nyield = 180\nprice = 4.5\n\n[[station]]")
FILES = {
    "season.toml": MONEY,
    "plantings.csv": "field,planting,planted,seeds_per_acre\neast,1,2016-04-25,\nnorth,1,2016-05-14,32000\nsouth,1,,\n",
    "zones.csv": "field,zone,name,acres\neast,low,Low <corner>,12\n",
}
"""East is planted as the known cases are, on black ground (no larvae), with a corner; nobody told when south was."""
EAST = {REST: "18000", LOW: "18000", "cost": "60", "on": "2016-05-20", "new_stand": "30000"}
POLICY = {"history": "180", "coverage": "80", "projected": "4.66"}


def made(folder: Path, **files: str) -> str:
    """A store of the small season."""
    return season_store(folder / "season.db", {**FILES, **files})


def asked(client: Client, typed: dict[str, str], field: str = "east") -> tuple[int, str]:
    """Status and page of a question."""
    answer = client.get(f"/field/{field}/replant?{urlencode(typed)}")
    return answer.status_code, html.unescape(answer.text)


def boxes(page: str, which: int) -> dict[str, str]:
    """Every box of the page's first or second form as a browser would send it."""
    form = page.split('<form class="walk')[which].split("</form>")[0]
    sent = {name: html.unescape(value) for name, value in
            re.findall(r'<input(?! type="checkbox")[^>]*? name="([^"]+)"[^>]*? value="([^"]*)"', form)}  # fmt: skip
    for name, body in re.findall(r'<select[^>]* name="(\w+)"[^>]*>(.*?)</select>', form, re.DOTALL):
        chosen = re.search(r'value="([^"]*)" selected', body) or re.search(r'value="([^"]*)"', body)
        sent[name] = html.unescape(chosen[1]) if chosen else ""
    return {**sent, **dict(re.findall(r'<input type="checkbox" name="(\w+)" value="(\w+)" checked', form))}
