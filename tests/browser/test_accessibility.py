"""Every page, in every look, on a phone and at a desk: axe-core finds nothing, it stands in 320
pixels and at twice the size, and nothing moves for whoever asked that nothing moves.

The rules are those of WCAG 2.0 to 2.2, A and AA, and axe-core's best practices; what a machine can
see of accessibility is about half of it. Every page is opened once, on a phone, and then widened.
All rules, and the contrast of everything, are asked in the first look on the phone. Afterwards the
contrast is asked of one of each kind of element: of those that the style sheets cannot tell apart,
because they and all they stand in have the same names and attributes, one stands for the others.
In the other looks `make axe` asks all other rules of every page; a plain run of the tests asks them
of the first page of each template, since a look changes nothing but colours. What was asked stands
in the last line of `make axe`.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from importlib.resources import files
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from django.db import connections
from django.test.signals import template_rendered
from playwright.sync_api import Error as NotAPage

from tests.browser.test_phone_check import sign_in
from tests.conftest import PATIENCE
from tests.test_walk import OPEN, POST_ONLY, PUT_ONLY, address, house_with_everything, patterns
from venue.roles import may

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

COUNT = Path(__file__).resolve().parents[2] / "var" / "axe.txt"
SIZES = {"phone": (390, 844), "desk": (1440, 900)}
# WCAG 1.4.10 and 1.4.4: a phone at 1280 pixels and four times the size, and a desk at twice the size.
NARROW = {"320 wide": (320, 640), "a desk at 200 %": (720, 450)}
LOOKS = ("light", "dark", "stage-blue")
OF_ALL = os.environ.get("AXE_OF_ALL") == "yes"  # `make axe` says so
NOT_PAGES = {
    "desk_script", "find_now", "first_person", "health", "home", "look_script", "manifest", "one_script",
    "one_style", "page_script", "phone_worker", "task_feed",
}  # fmt: skip
SCRIPT = (files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8")
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
# What lies under the bar of a phone page is scrolled up from it: where the page happens to be cut it
# would be measured as covered.
RUN = """async ([options, each]) => {
    const inBar = ({ target }) => document.querySelector(target[0])?.closest(".bar");
    const where = each ? { include: each === "one of each" ? globalThis.oneOfEach() : [document] } : document;
    const told = await axe.run(where, options);
    for (const broken of told.violations) if (broken.id === "target-size")
        broken.nodes = broken.nodes.filter(({ any }) => !any.some(({ relatedNodes }) => relatedNodes.some(inBar)));
    const left = told.violations.filter(({ nodes }) => nodes.length);
    return left.map(({ id, nodes }) => `${id}: ${nodes[0].html.slice(0, 160)} (${nodes.length})`);
}"""
# What style sheets do not look at; everything else may change how an element looks.
ONE_OF_EACH = """globalThis.oneOfEach = () => {
    const silent = new Set(["href", "id", "name", "value", "for", "title", "action", "content", "src", "alt",
        "datetime", "aria-label", "aria-labelledby", "aria-describedby", "data-label", "d", "x", "y", "width",
        "height", "transform", "points", "min", "max", "maxlength", "placeholder"]);
    const own = (element) => element && element.tagName + [...element.attributes]
        .filter(({ name }) => !silent.has(name)).map(({ name, value }) => `${name}=${value}`).join();
    const known = new WeakMap();
    const kind = (element) => {
        if (!element) return "";
        if (!known.has(element)) {
            const at = `${own(element.previousElementSibling)}~${own(element)}`;
            known.set(element, `${kind(element.parentElement)}>${at}`);
        }
        return known.get(element);
    };
    const said = (element) => [...element.childNodes].some((node) => node.nodeType === 3 && node.data.trim())
        || element.matches("input, select, textarea");
    const found = new Map();
    for (const element of document.body.querySelectorAll("*"))
        if (said(element) && element.checkVisibility({ visibilityProperty: true }) && !found.has(kind(element)))
            found.set(kind(element), element);
    return [...found.values()];
};"""
# A table or a drawing may scroll within its own frame; the page may not, and no words may be cut off.
TOO_WIDE = """() => {
    const page = document.documentElement;
    const cut = [...document.body.querySelectorAll("*")].filter((element) => {
        if (element.scrollWidth <= element.clientWidth + 1 || !element.innerText?.trim()) return false;
        const style = getComputedStyle(element);
        const clips = ["hidden", "clip"].includes(style.overflowX);
        return clips && style.clipPath === "none" && style.position !== "absolute";
    });
    const shown = (element) => getComputedStyle(element).overflowX === "visible" ? element.scrollWidth : 0;
    const reaches = (element) => element.getBoundingClientRect().left
        + Math.max(element.offsetWidth ?? 0, shown(element));
    const widest = () => [...document.body.querySelectorAll("*")]
        .findLast((element) => reaches(element) > page.scrollWidth - 1);
    return [
        ...(page.scrollWidth > innerWidth
            ? [`${page.scrollWidth - innerWidth} pixels too wide: ${widest()?.outerHTML.slice(0, 160)}`] : []),
        ...cut.map((element) => `cut off: ${element.outerHTML.slice(0, 160)}`),
    ];
}"""
MOVING = """() => [...document.querySelectorAll("*")].filter((element) => {
    const style = getComputedStyle(element);
    return [style.transitionDuration, style.animationDuration].some((time) => parseFloat(time) > 0);
}).map((element) => `moves: ${element.outerHTML.slice(0, 160)}`)"""


@pytest.fixture
def house(live_server: Any) -> Any:
    """Made in a thread of its own: a report is signed in an event loop, and the browser's driver
    keeps one in this thread."""

    def make() -> Any:
        try:
            return house_with_everything()
        finally:
            connections.close_all()

    with ThreadPoolExecutor(1) as thread:
        return thread.submit(make).result()


def findings(page: Any, size: str, all_looks: bool) -> Iterator[str]:
    """The contrast of everything in the first look on the phone, else of one of each; the other
    rules in the first look, and in the others if that is wished."""
    page.evaluate(SCRIPT)
    page.evaluate(ONE_OF_EACH)
    for look in LOOKS:
        page.evaluate("(look) => { document.documentElement.dataset.theme = look; }", look)
        first = look == LOOKS[0]
        for rules, each in asked_of(first, first and size == "phone", first or all_looks):
            for found in page.evaluate(RUN, [rules | {"resultTypes": ["violations"]}, each]):
                yield f"{size}, {look}: {found}"


def asked_of(first: bool, whole: bool, all_rules: bool) -> Iterator[tuple[dict[str, Any], str]]:
    """What axe-core is asked of a page in one look and size, and of which elements."""
    tags = {"runOnly": {"type": "tag", "values": TAGS}}
    if whole:
        yield tags, ""
        return
    if all_rules:
        yield tags | {"rules": {"color-contrast": {"enabled": False}}}, ""
    if not first:
        contrast = {"type": "rule", "values": ["color-contrast"]}
        yield {"runOnly": contrast, "preload": False}, "one of each"


def everything_wrong(page: Any, all_looks: bool = True) -> list[str]:
    """Of a page that is open: in all looks and sizes; `all_looks`: by all rules in each."""
    wrong: list[str] = []
    for size, (width, height) in SIZES.items():
        page.set_viewport_size({"width": width, "height": height})
        if size != "phone" and page.locator("[data-keypad]").count():
            page.reload()  # whether it has keys of its own it asks when it is opened
        wrong += findings(page, size, all_looks)
    wrong += page.evaluate(MOVING)
    for size, (width, height) in NARROW.items():
        page.set_viewport_size({"width": width, "height": height})
        wrong += [f"{size}: {each}" for each in page.evaluate(TOO_WIDE)]
    return wrong


def pages(house: Any, who: str) -> dict[str, str]:
    """The address of every page that this person may open, by name."""
    return {
        name: address(name, pattern, house, who)
        for name, pattern in patterns().items()
        if name not in NOT_PAGES | POST_ONLY | PUT_ONLY
        and (name in OPEN or may(who, pattern.callback.needs))
    }


def opened(page: Any, where: str) -> bool:
    """Whether the address shows a page; a download or JSON has nothing for axe-core."""
    width, height = SIZES["phone"]
    page.set_viewport_size({"width": width, "height": height})
    try:
        told = page.goto(where)
    except NotAPage:
        return False
    return told.ok and "text/html" in told.headers.get("content-type", "")


@pytest.mark.long
def test_nothing_is_wrong_on_any_page_in_any_look_and_size(
    house: Any, chromium: Any, live_server: Any
) -> None:
    # Without the phone's worker, which shows a page that it kept where the server lets it wait.
    context = chromium.new_context(
        base_url=live_server.url, reduced_motion="reduce", service_workers="block"
    )
    context.set_default_timeout(PATIENCE)
    page = context.new_page()
    assert opened(page, "/account/login/")
    wrong = [f"sign-in {each}" for each in everything_wrong(page)]
    known: set[str] = set()
    templates: set[str] = set()
    whole = 1  # in all looks by all rules
    for who in ("competent", "manager", "auditor"):
        context.clear_cookies()
        sign_in(page, who, "/v/larkspur/")
        for name, where in pages(house, who).items():
            with rendered_meanwhile() as rendered:
                if name in known or not opened(page, where):
                    continue
            here = urlsplit(page.url).path
            template = next(each for path, each in rendered if path == here)
            all_looks = OF_ALL or template not in templates
            templates.add(template)
            known.add(name)
            whole += all_looks
            wrong += [f"{name} {each}" for each in everything_wrong(page, all_looks)]
    context.close()
    _write_count(len(known) + 1, whole, len(wrong))
    assert wrong == []
    assert len(known) >= 45
    assert "ask_question" in known
    assert whole >= 40, "one page of each template"


@contextmanager
def rendered_meanwhile() -> Iterator[list[tuple[str, str]]]:
    """Each address with a template that the server renders for it meanwhile: a page's own comes first.
    What the page before it had still asked for is among them, too."""
    names: list[tuple[str, str]] = []

    def note(sender: Any, template: Any, context: Any, **more: Any) -> None:
        if asked := context.get("request"):
            names.append((asked.path, str(template.name)))

    template_rendered.connect(note)
    try:
        yield names
    finally:
        template_rendered.disconnect(note)


def _write_count(seen: int, whole: int, wrong: int) -> None:
    """For `make axe`, which tells it in one line."""
    COUNT.parent.mkdir(exist_ok=True)
    told = {
        "pages": seen,
        "themes": len(LOOKS),
        "sizes": len(SIZES),
        "all_rules_in_all_themes": whole,
    }
    COUNT.write_text(json.dumps(told | {"findings": wrong}))
