"""A real browser that is used, cut off and killed like a phone."""

from __future__ import annotations

import os
import shutil
import signal
from contextlib import suppress
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from playwright.sync_api import TimeoutError as PlaywrightTimeoutError

from tests.conftest import CHROMIUM_FLAGS

PASSWORD = "only-for-tests-1"  # as tests/house.py gives it; that module needs Django
ROUND_TRIES = 5
PHONE = {"width": 390, "height": 844}
SHIFTED = """(shift) => {
    const Real = Date;
    globalThis.Date = class extends Real {
        constructor(...given) { given.length ? super(...given) : super(Real.now() + shift); }
        static now() { return Real.now() + shift; }
    };
}"""
# Fill the questions as a thumb would leave them, and let the page notice.
FILL = """([rope, values]) => {
    const set = (name, value) => {
        for (const field of document.getElementsByName(name)) {
            const dot = ["radio", "checkbox"].includes(field.type);
            if (dot && field.value !== value) continue;
            if (dot) field.checked = true;
            else field.value = value;
            field.dispatchEvent(new Event("input", { bubbles: true }));
        }
    };
    for (const [name, value] of Object.entries(values)) set(`running_rope.${rope}:${name}`, value);
    set(`rope_identified.${rope}:given`, "yes");
}"""
WAITING = """async (person) => {
    const store = await import("/static/js/phone/outbox.js");
    return (await store.waitingOf(person)).length;
}"""


class Phone:
    """One browser profile; the people who use it sign in and out."""

    def __init__(self, driver: Any, folder: Path, address: str) -> None:
        self.driver, self.folder, self.address = driver, folder, address
        self.context: Any = None
        self.page: Any = None

    def switch_on(self) -> None:
        for lock in self.folder.glob("Singleton*"):
            lock.unlink()
        program = shutil.which("chromium") or shutil.which("chromium-browser")
        self.context = self.driver.chromium.launch_persistent_context(
            str(self.folder), executable_path=program, args=CHROMIUM_FLAGS, viewport=PHONE,
            base_url=self.address,
        )  # fmt: skip
        self.context.set_default_timeout(60_000)  # a busy machine is no fault of the phone
        self.page = self.context.new_page()

    def kill(self) -> None:
        """Every process of the browser, without a word, as when a battery falls out."""
        wanted = f"--user-data-dir={self.folder}".encode()
        for folder in Path("/proc").iterdir():
            if not folder.name.isdecimal():
                continue
            with suppress(OSError):
                if wanted in (folder / "cmdline").read_bytes():
                    os.kill(int(folder.name), signal.SIGKILL)
        with suppress(Exception):
            self.context.close()
        self.context = self.page = None

    def kill_page(self) -> None:
        with suppress(Exception):
            self.page.close()
        self.page = self.context.new_page()

    def sign_in(self, who: str) -> None:
        self.context.clear_cookies()
        self.page.goto("/v/larkspur/round/")
        if "/account/login/" not in self.page.url:
            # The kept round was shown; the way to the form is its own address.
            self.page.goto("/account/login/?next=/v/larkspur/round/")
        self.page.fill("input[name=login]", f"{who}@larkspur.example")
        self.page.fill("input[name=password]", PASSWORD)
        self.page.get_by_role("button", name="Sign in", exact=True).click()
        # The address of the form ends with the round's, as that of the page to go to afterwards.
        self.page.wait_for_url(lambda address: urlsplit(address).path.endswith("/round/"))

    def take_round(self) -> None:
        self.page.evaluate("navigator.serviceWorker.ready.then(() => true)")
        for _ in range(ROUND_TRIES):
            self.page.reload()
            try:
                return self.page.get_by_text("This round is on the phone").wait_for()
            except PlaywrightTimeoutError:
                # The server was slower than the worker's patience: the kept round was shown.
                continue
        raise AssertionError("the round was not taken along")

    def shift_clock(self, seconds: int) -> None:
        self.page.evaluate(SHIFTED, seconds * 1000)

    def fill(self, rope: int, values: dict[str, str]) -> None:
        self.page.get_by_text("Question 1 of 2").wait_for()
        self.page.evaluate(FILL, [rope, values])
        self.page.wait_for_timeout(620)
        self.page.get_by_role("button", name="Next", exact=True).click()
        self.look_it_over()

    def look_it_over(self) -> None:
        """The small question beside is answered by its first choice, where it is still open."""
        self.page.get_by_role("button", name="Look it over", exact=True).click()
        review = self.page.locator(".check-review")
        review.wait_for()
        if "attention" in review.get_attribute("class"):
            review.locator(".choices button").first.click()

    def save(self, *, twice: bool = False) -> None:
        button = self.page.get_by_role("button", name="Save this check")
        button.dblclick(no_wait_after=True) if twice else button.click(no_wait_after=True)

    def acknowledged(self) -> tuple[str, str]:
        """The id and the SHA-256 of what the page calls saved."""
        saved = self.page.locator("[data-saved]")
        saved.wait_for()
        return saved.get_attribute("data-saved"), saved.get_attribute("data-sha256")

    def what_it_shows(self, story: list[str]) -> str:
        """For whoever looks into a failed trial."""
        shown = ""
        with suppress(Exception):
            shown = f"{self.page.url}\n{self.page.inner_text('body')[:1500]}"
        return "\n".join([*story[-6:], shown])

    def waiting(self, person: int) -> int:
        return int(self.page.evaluate(WAITING, person))
