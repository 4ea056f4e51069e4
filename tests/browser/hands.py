"""What a person's hands do on a page: sign in, tap, type, look, take a file away."""

from __future__ import annotations

import io
import os
from collections.abc import Callable
from datetime import UTC, datetime
from email.utils import parsedate_to_datetime
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from PIL import Image

from tests.house import PASSWORD

PHONE = {"width": 390, "height": 844}
STICKS_OUT = """() => [...document.querySelectorAll("body *")]
    .filter((each) => each.getBoundingClientRect().right > innerWidth)
    .map((each) => each.outerHTML.slice(0, 90)).slice(0, 6)"""
DESK = {"width": 1440, "height": 900}
# PICTURES=folder keeps a picture of every page that a walk stops at, light and dark.
PICTURES = os.environ.get("PICTURES", "")
# The page holds back, once, whoever walks on before a verdict could be read.
TIME_TO_READ = 700
TRIES = 8
WALKED = """(before) => {
    const here = document.querySelector(".progress-words span");
    if (!here || here.textContent !== before || !here.checkVisibility()) return "on";
    return !document.querySelector(".check-steps .main[aria-disabled]") && "held back";
}"""


def walk_on(page: Any, words: str, tap: Callable[[str], None] | None = None) -> None:
    """Press *Next* or *Look it over* until the question on the screen is another, or none."""
    before = page.locator(".progress-words span").first.text_content()
    press = tap or (lambda name: page.get_by_role("button", name=name, exact=True).click())
    for _ in range(TRIES):
        press(words)
        if page.wait_for_function(WALKED, arg=before).json_value() == "on":
            return
        page.wait_for_timeout(TIME_TO_READ)  # no proof of anything: it is read, as was asked
    raise AssertionError(f"{words} does not lead on from {before}")


def signed_in_at(page: Any, wanted: str) -> None:
    """Wait for the page that was wanted. The address of the form to sign in ends like it."""

    def is_there(address: str) -> bool:
        return urlsplit(address).path != "/account/login/" and address.endswith(wanted)

    page.wait_for_url(is_there)


def afresh(ask: Callable[[], Any]) -> None:
    """Ask for a page till it is the server's of now: a phone shows the one that it kept where the
    server, on a busy machine, lets it wait."""
    since = datetime.now(UTC).replace(microsecond=0)
    for _ in range(TRIES):
        if parsedate_to_datetime(ask().headers["date"]) >= since:
            return
    raise AssertionError("The server answers too slowly: the page is the one that was kept.")


class Person:
    """Someone at a screen, signed in as themselves."""

    def __init__(self, tab: Callable[..., Any], size: dict[str, int], email: str) -> None:
        self.page = tab(size)
        self.email = email
        self.size = size

    def sign_in(self, wanted: str) -> None:
        """Ask for a page, be sent to the form, come back to the page."""
        self.page.goto(wanted)
        assert "/account/login/" in self.page.url
        self.page.fill("input[name=login]", self.email)
        self.page.fill("input[name=password]", PASSWORD)
        self.press("Sign in")
        signed_in_at(self.page, wanted)

    def go(self, address: str) -> None:
        afresh(lambda: self.page.goto(address))

    def press(self, words: str) -> None:
        """Press a button that leads to a page, and wait for the page."""
        with self.page.expect_navigation():
            self.tap(words)

    def tap(self, words: str) -> None:
        """Press a button that changes the page one is on; of several alike, the first."""
        self.page.get_by_role("button", name=words, exact=True).first.click()

    def walk_on(self, words: str) -> None:
        walk_on(self.page, words, self.tap)

    def follow(self, words: str) -> None:
        with self.page.expect_navigation():
            self.page.get_by_role("link", name=words, exact=True).first.click()

    def type(self, **fields: str) -> None:
        for name, text in fields.items():
            self.page.fill(f'[name="{name}"]', text)

    def tick(self, name: str, value: str) -> None:
        """Tap the words beside the dot or the box, as a thumb does."""
        self.page.locator(f'label:has(input[name="{name}"][value="{value}"])').click()

    def enclose(self, name: str, *files: dict[str, Any] | Path) -> None:
        self.page.set_input_files(f'input[name="{name}"]', list(files))

    def take_away(self, words: str, folder: Path) -> Path:
        """Follow the link that hands out a file; where it was put."""
        with self.page.expect_download() as handed:
            self.page.locator(f'main a:has-text("{words}")').first.click()
        path = folder / handed.value.suggested_filename
        handed.value.save_as(path)
        return path

    def reads(self) -> str:
        """Every word of the page between its head and its foot."""
        words: str = self.page.locator("main").inner_text()
        return words

    def looks(self, name: str) -> str:
        """Stop and look: the page fits the screen, and a picture is kept where one is wanted."""
        wide = self.page.evaluate("document.documentElement.scrollWidth - innerWidth")
        assert wide <= 0, f"{self.page.url} is {wide} px too wide: {self.page.evaluate(STICKS_OUT)}"
        if PICTURES:
            self._picture(name)
        return self.reads()

    def _picture(self, name: str) -> None:
        for scheme in ("dark", "light"):
            self.page.emulate_media(color_scheme=scheme)
            path = Path(PICTURES) / f"{self.size['width']}-{scheme}-{name}.png"
            self.page.screenshot(path=path, full_page=True)


def photograph(name: str = "rope.jpg", shade: str = "grey") -> dict[str, Any]:
    out = io.BytesIO()
    Image.new("RGB", (640, 480), shade).save(out, "JPEG")
    return {"name": name, "mimeType": "image/jpeg", "buffer": out.getvalue()}
