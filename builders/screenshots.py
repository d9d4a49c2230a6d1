"""Pictures of every page in two sizes and of every sheet of paper, from the sample season or a store.

python builders/screenshots.py FOLDER [--store FILE --today 2016-05-17]
"""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import sys
from datetime import date
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

from springwalk.desk.from_store import store_questions  # noqa: E402
from springwalk.desk.questions import Questions  # noqa: E402
from springwalk.paper.sheet import sheet as print_sheet  # noqa: E402
from tests.browser.running import CHROMIUM_ARGS, chromium, serving  # noqa: E402

SIZES = {"390": (390, 844), "1280": (1280, 900)}


def questions(store: str | None, today: str | None) -> Questions:
    """Questions of a store, or of the sample season where no store is given."""
    if store:
        return store_questions(store, date.fromisoformat(today) if today else None)
    from tests.show import sample

    return Questions(sheet=sample.sheet, field=sample.field_page)


def paths(asked: Questions) -> dict[str, str]:
    """The pages to take, by the name of their picture."""
    sheet = asked.sheet()
    found = {
        "morning": "/",
        "due": "/due",
        "sources": "/sources",
        "pests": "/pests",
        "pest": "/pest/stink-bug",
        "missing": "/nowhere",
    }
    if sheet.rows:
        found["field-walk"] = f"/field/{sheet.rows[0].field}"
    if sheet.rest:
        found["field-rest"] = f"/field/{sheet.rest[0].field}"
    return found


def take(asked: Questions, folder: Path) -> None:
    """Write a picture of each page at each size."""
    from playwright.sync_api import sync_playwright

    browser_file = chromium()
    if browser_file is None:
        raise SystemExit("chromium = none: not found on PATH; install it or set SPRINGWALK_CHROMIUM.")
    with serving(asked) as (base, access), sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=browser_file, args=list(CHROMIUM_ARGS))
        context = browser.new_context()
        page = context.new_page()
        page.goto(base)
        page.screenshot(path=folder / "refused-1280.png")
        page.goto(access.link())
        for size, (width, height) in SIZES.items():
            page.set_viewport_size({"width": width, "height": height})
            for name, path in paths(asked).items():
                page.goto(base + path)
                page.wait_for_load_state("networkidle")
                page.screenshot(path=folder / f"{name}-{size}.png", full_page=True)
        browser.close()


def paper(asked: Questions, folder: Path) -> None:
    """Write the PDF and, where pdftoppm is there, a picture of each of its pages."""
    pdf = folder / "sheet.pdf"
    pdf.write_bytes(print_sheet(asked.sheet()))
    if shutil.which("pdftoppm"):
        subprocess.run(["pdftoppm", "-r", "90", "-png", str(pdf), str(folder / "sheet")], check=True)


def main() -> None:
    """Read the command line and make the pictures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--store", default=os.environ.get("SPRINGWALK_STORE"))
    parser.add_argument("--today")
    options = parser.parse_args()
    options.folder.mkdir(parents=True, exist_ok=True)
    asked = questions(options.store, options.today)
    paper(asked, options.folder)
    take(asked, options.folder)
    print(f"Wrote {len(list(options.folder.iterdir()))} files to {options.folder}.")


if __name__ == "__main__":
    main()
