"""`python -m bench.every_page [FOLDER [LANGUAGE]]`: every page in three looks and two sizes, to be
looked through; in another language than English all but the pages of a check.

Nobody lists the pages: two people, the manager and the head flyman, and the insurer's engineer follow
every link of the demo house, and the first address of each kind is opened. Where no link leads, the
pages of a check, `bench.check_pages` goes as a person at work does. Beside the pictures stands
`index.html`, page by page, and the
folder is ignored by git. Nothing is compared: a person looks.
"""

from __future__ import annotations

import html
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from bench.check_pages import take_check_pages
from bench.demo_house import PROJECT, running_demo_house
from bench.pocket import chromium
from inspections.demo.scenario import PASSWORD
from venue.languages import ENGLISH

OUT = PROJECT / "bench" / "out" / "pages"
LOOKS = ("light", "dark", "stage-blue")
SIZES = {"phone": (390, 844), "desk": (1440, 900)}
PATIENCE = 90_000  # ms: nothing is timed here, and the machine may be busy
TALLEST = 2400  # pixels of a page; what lies below is more of the same
PEOPLE = ("odile@larkspur.example", "tam@larkspur.example", "ines@insurer.example")
STARTS = ("/v/larkspur/", "/v/larkspur/set-up/", "/v/larkspur/find/?q=rope", "/account/2fa/")
# What names one of many: a number, a key, a hash, a day, a tag.
ONE_OF_MANY = re.compile(r"/(?:\d[\w-]*|[0-9a-f]{8,}[\w-]*|t/[^/]+)(?=/|$)")
NAMED = re.compile(r"/(rules|calculators|kinds|seals|steps|trades|set-up)/[\w-]+(?=/|$)")
FEW = 2  # of what is named: two rule sets show what a page of rules is like
AWAY = (
    "/account/logout",
    "/healthz",
    ".pdf",
    ".zip",
    ".ics",
    ".crl",
    "/file/",
    "/files/",
    "/download",
    "/csv",
)
LINKS = "() => [...document.links, ...document.querySelectorAll('svg a')].map((each) => each.href.baseVal ?? each.href)"
LOOK = "(look) => { document.documentElement.dataset.theme = look; }"


def main(arguments: list[str]) -> int:
    folder = Path(arguments[0]) if arguments else OUT
    language = arguments[1] if len(arguments) > 1 else ENGLISH
    folder.mkdir(parents=True, exist_ok=True)
    shown: dict[str, str] = {}
    with running_demo_house() as (port, house), chromium() as browser:
        for who in PEOPLE:
            context = browser.new_context(
                base_url=f"http://localhost:{port}",
                reduced_motion="reduce",
                service_workers="block",
            )
            context.set_default_timeout(PATIENCE)
            tab = context.new_page()
            sign_in(tab, who)
            choose_language(tab, language)
            for address in pages(tab, shown):
                take(tab, kind_of(address), folder, shown)
            context.close()
        if language == ENGLISH:  # their buttons are pressed by name
            take_check_pages(
                browser, f"http://localhost:{port}", house / "demo.sqlite3",
                lambda tab, kind: take(tab, kind, folder, shown),
            )  # fmt: skip
    write_index(folder, shown)
    return 0


def sign_in(tab: Any, email: str) -> None:
    tab.goto("/account/login/")
    tab.fill("[name=login]", email)
    tab.fill("[name=password]", PASSWORD)
    tab.press("[name=password]", "Enter")
    tab.wait_for_url(lambda url: "/login/" not in url)  # of several houses one is chosen first


def choose_language(tab: Any, language: str) -> None:
    tab.goto("/language/")
    tab.check(f"[name=language][value={language}]", force=True)
    tab.click("main form .main")
    tab.locator(f"html[lang^={language}] [data-venue]").wait_for()


def kind_of(address: str) -> str:
    """The address without what tells one of many from another.

    >>> kind_of("/v/larkspur/tasks/12/?show=late"), kind_of("/v/larkspur/t/W1/")
    ('/v/larkspur/tasks/*/', '/v/larkspur/*/')
    """
    return ONE_OF_MANY.sub("/*", address.partition("?")[0].partition("#")[0])


def pages(tab: Any, shown: dict[str, str]) -> Iterator[str]:
    """The first address of each kind that a link leads to, and that opens as a page."""
    waiting, met = list(STARTS), set(shown)
    often: dict[str, int] = {}
    while waiting:
        address = waiting.pop(0)
        kind, family = kind_of(address), NAMED.sub(r"/\1/*", kind_of(address))
        often[family] = often.get(family, 0) + 1
        if kind in met or often[family] > FEW or any(part in address for part in AWAY):
            continue
        met.add(kind)
        try:
            answer = tab.goto(address)
        except Exception as download:  # noqa: BLE001 - a file to take away is no page
            print(f"{address}: {str(download).splitlines()[0]}")
            continue
        if answer is None or not answer.ok or "text/html" not in answer.headers["content-type"]:
            continue
        yield address
        home = tab.evaluate("location.origin")
        waiting += [
            each.removeprefix(home)
            for each in tab.evaluate(LINKS)
            if each.startswith((home, "/v/"))
        ]


def take(tab: Any, kind: str, folder: Path, shown: dict[str, str]) -> None:
    tab.wait_for_load_state("networkidle")
    name = f"{len(shown):03}"
    shown[kind] = name
    for size, (width, height) in SIZES.items():
        tab.set_viewport_size({"width": width, "height": height})
        for look in LOOKS:
            tab.evaluate(LOOK, look)
            tall = min(tab.evaluate("document.documentElement.scrollHeight"), TALLEST)
            clip = {"x": 0, "y": 0, "width": width, "height": max(tall, height)}
            path = folder / f"{name}-{size}-{look}.jpg"
            tab.screenshot(path=path, type="jpeg", quality=70, full_page=True, clip=clip)
    print(name, kind, flush=True)


def write_index(folder: Path, shown: dict[str, str]) -> None:
    rows = []
    for kind, name in shown.items():
        pictures = "".join(
            f'<a href="{name}-{size}-{look}.jpg"><img loading="lazy" height="420" alt="{size}, {look}" '
            f'src="{name}-{size}-{look}.jpg"></a> '
            for size in SIZES
            for look in LOOKS
        )
        rows.append(f'<h2 id="p{name}">{name} {html.escape(kind)}</h2><p>{pictures}</p>')
    head = "<!doctype html><meta charset=utf-8><title>Every page</title>"
    (folder / "index.html").write_text(head + "\n".join(rows), encoding="utf-8")
    print(
        f"{len(shown)} pages, {len(shown) * len(LOOKS) * len(SIZES)} pictures: {folder / 'index.html'}"
    )


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
