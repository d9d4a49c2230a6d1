from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from springwalk.desk.access import Access
from springwalk.desk.questions import Questions
from tests.browser.running import serving
from tests.show import sample

pytestmark = pytest.mark.browser
WIDTHS = (390, 1280)
PATHS = ("/", "/field/elm-bottom", "/field/hilltop", "/sources", "/pests", "/pest/stink-bug", "/nowhere")


@pytest.fixture(scope="module")
def desk() -> Iterator[tuple[str, Access]]:
    """The sample season served on a free port."""
    with serving(Questions(sheet=sample.sheet, field=sample.field_page)) as running:
        yield running


@pytest.fixture(scope="module")
def session(chrome: Any, desk: tuple[str, Access]) -> list[Any]:
    """The cookies of a browser that has opened the login link; the link is then tried a second time."""
    base, access = desk
    link = access.link()
    first = chrome.new_context()
    page = first.new_page()
    assert page.goto(base).status == 403
    page.goto(link)
    assert page.url == base + "/"
    other = chrome.new_context()
    assert other.new_page().goto(link).status == 403
    cookies = first.cookies()
    other.close()
    first.close()
    return list(cookies)


@pytest.fixture(params=WIDTHS)
def tab(request: pytest.FixtureRequest, chrome: Any, session: list[Any]) -> Iterator[Any]:
    """A logged-in tab at each width; what the browser complains of is kept in ``faults``."""
    size = {"width": request.param, "height": 844}
    context = chrome.new_context(viewport=size)
    context.add_cookies(session)
    made = context.new_page()
    made.faults = []
    made.on("console", lambda told: made.faults.append(told.text) if told.type == "error" else None)
    yield made
    context.close()


def test_login_link_works_once(session: list[Any]) -> None:
    """In a real browser: refused before, in after, refused the second time (steps are in the fixture)."""
    (cookie,) = session
    assert cookie["httpOnly"]
    assert cookie["sameSite"] == "Strict"


@pytest.mark.parametrize("path", PATHS)
def test_no_page_scrolls_sideways_and_the_headline_is_first(tab: Any, desk: tuple[str, Access], path: str) -> None:
    """The answer is on the first screen, whole pages fit the width, and the policy blocks nothing of ours."""
    tab.goto(desk[0] + path)
    tab.wait_for_load_state("networkidle")
    wide = tab.evaluate("[document.documentElement.scrollWidth, document.documentElement.clientWidth]")
    assert wide[0] <= wide[1]
    box = tab.locator("h1").bounding_box()
    assert box["y"] + box["height"] < 300
    assert tab.evaluate("getComputedStyle(document.body).fontFamily").startswith('"Open Sans"')
    assert [fault for fault in tab.faults if "404" not in fault] == []


def test_every_field_link_opens_its_field(tab: Any, desk: tuple[str, Access]) -> None:
    """Each field named on the sheet can be opened from it."""
    tab.goto(desk[0])
    links = tab.locator("main ol a, main ul.rest a").evaluate_all("all => all.map(a => [a.href, a.textContent])")
    assert len(links) == 14
    for href, name in links:
        assert tab.goto(href).status == 200
        assert tab.locator("h1").inner_text().startswith(name)


def test_the_figure_loads_in_the_size_for_the_screen(tab: Any, desk: tuple[str, Access]) -> None:
    """The picture is drawn, has words for those who cannot see it, and is tall on a narrow screen."""
    tab.goto(desk[0] + "/field/elm-bottom")
    tab.wait_for_load_state("networkidle")
    picture = tab.locator("img.season")
    loaded, wide, tall = picture.evaluate("i => [i.complete && i.naturalWidth > 0, i.clientWidth, i.clientHeight]")
    assert loaded
    assert (tall > wide) == (tab.viewport_size["width"] < 760)
    assert "Cutting begins" in picture.get_attribute("alt")


def test_the_keyboard_reaches_every_link_and_shows_where_it_is(tab: Any, desk: tuple[str, Access]) -> None:
    """Tab goes through all links in order, each with a visible ring."""
    tab.goto(desk[0])
    total = tab.locator("a").count()
    seen = []
    for _ in range(total):
        tab.keyboard.press("Tab")
        href, ring = tab.evaluate(
            "[document.activeElement.getAttribute('href'), getComputedStyle(document.activeElement).outlineWidth]"
        )
        seen.append(href)
        assert float(ring.removesuffix("px")) >= 2
    assert seen[0] == "#main"
    assert {"/", "/sources", "/sheet.pdf", "/field/elm-bottom", "/field/church"} <= set(seen)


@pytest.mark.parametrize("path", PATHS)
def test_targets_are_big_enough_for_a_thumb(tab: Any, desk: tuple[str, Access], path: str) -> None:
    """At phone width every link is at least 48 px high and wide, and text is at least 16 px, body text 18."""
    if tab.viewport_size["width"] != 390:
        tab.set_viewport_size({"width": 390, "height": 844})
    tab.goto(desk[0] + path)
    sizes = tab.locator("a:not(.skip)").evaluate_all(
        "all => all.map(a => [a.textContent, a.getBoundingClientRect().width, a.getBoundingClientRect().height])"
    )
    assert [size for size in sizes if size[1] < 48 or size[2] < 48] == []
    texts = tab.locator("main p, main li, main dd").evaluate_all(
        "all => all.map(e => parseFloat(getComputedStyle(e).fontSize))"
    )
    assert min(texts) >= 16
    assert tab.evaluate("parseFloat(getComputedStyle(document.body).fontSize)") == 18


@pytest.mark.parametrize("path", PATHS)
def test_text_stands_out_from_its_ground(tab: Any, desk: tuple[str, Access], path: str) -> None:
    """Every text has at least 4.5 to 1 against what is behind it (WCAG 2.2 AA, 1.4.3)."""
    tab.goto(desk[0] + path)
    worst = tab.evaluate(
        """() => {
          const lum = c => { const [r, g, b] = c.map(v => { v /= 255; return v <= 0.04045 ? v / 12.92
            : ((v + 0.055) / 1.055) ** 2.4 }); return 0.2126 * r + 0.7152 * g + 0.0722 * b };
          const parts = c => c.match(/[0-9.]+/g).map(Number);
          const ground = e => { for (; e; e = e.parentElement) { const p = parts(getComputedStyle(e).backgroundColor);
            if (p.length < 4 || p[3] > 0) return p.slice(0, 3) } return [255, 255, 255] };
          let worst = 99;
          for (const e of document.querySelectorAll('body *')) {
            if (![...e.childNodes].some(n => n.nodeType === 3 && n.textContent.trim())) continue;
            const a = lum(parts(getComputedStyle(e).color).slice(0, 3)), b = lum(ground(e));
            worst = Math.min(worst, (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05));
          }
          return worst;
        }"""
    )
    assert worst >= 4.5


def test_pages_read_with_scripts_off(chrome: Any, session: list[Any], desk: tuple[str, Access]) -> None:
    """Everything is there without a script."""
    context = chrome.new_context(viewport={"width": 390, "height": 844}, java_script_enabled=False)
    context.add_cookies(session)
    plain = context.new_page()
    plain.goto(desk[0])
    assert plain.locator("h1").inner_text() == "Tuesday 17 May: walk six fields"
    plain.locator("a", has_text="Elm Bottom").first.click()
    assert plain.locator("h1").inner_text() == "Elm Bottom: walk it today"
    plain.locator("img.season").wait_for(state="visible")
    context.close()


def test_the_pages_of_the_desk_stand_in_one_line(tab: Any, desk: tuple[str, Access]) -> None:
    """At phone width the ways to the pages must not break over two lines."""
    tab.goto(desk[0] + "/pests")
    tops = tab.eval_on_selector_all("nav a", "links => links.map(a => Math.round(a.getBoundingClientRect().top))")
    assert len(tops) >= 4
    assert len(set(tops)) == 1
