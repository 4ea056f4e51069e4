"""`python -m bench.screenshots`: the pictures of the handbook, taken from the demo house."""

from __future__ import annotations

import io
import shutil
import sys
from pathlib import Path
from typing import Any

from PIL import Image

from bench.demo_house import PROJECT, running_demo_house
from inspections.demo.scenario import PASSWORD

PICTURES = PROJECT / "docs" / "pictures"
EMAIL = "tam@larkspur.example"
SIZES = {"phone": (390, 844), "desk": (1440, 900)}
PAGES = {
    "overview": "/v/larkspur/",
    "equipment": "/v/larkspur/equipment/",
    "tag": "/v/larkspur/t/W1/",
    "check": "",  # started anew from the tag page
    "findings": "/v/larkspur/findings/",
    "rules": "/v/larkspur/rules/",
}
# Page, screen, scheme: every page once, both screens and both schemes in turn.
KEPT = (
    ("overview", "desk", "light"), ("overview", "phone", "dark"), ("equipment", "desk", "dark"),
    ("tag", "phone", "light"), ("check", "phone", "light"), ("check", "phone", "dark"),
    ("findings", "desk", "light"), ("rules", "desk", "light"),
)  # fmt: skip
EVERY = tuple((p, size, scheme) for scheme in ("light", "dark") for size in SIZES for p in PAGES)
COLOURS = 128
# Without a display, a sandbox for root, a GPU, or anything that calls its maker.
CHROMIUM_FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


def main(arguments: list[str]) -> int:
    """Take the kept pictures; with `--every`, all pages, screens and schemes into bench/out."""
    from playwright.sync_api import sync_playwright

    program = shutil.which("chromium") or shutil.which("chromium-browser")
    if program is None:
        print("Chromium is not installed: apt-get install chromium")
        return 1
    every = arguments == ["--every"]
    wanted, folder = (EVERY, PROJECT / "bench" / "out") if every else (KEPT, PICTURES)
    folder.mkdir(parents=True, exist_ok=True)
    with running_demo_house() as (port, _), sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=program, args=CHROMIUM_FLAGS)
        for scheme in ("light", "dark"):
            chosen = [(page, size) for page, size, shade in wanted if shade == scheme]
            take(browser, f"http://127.0.0.1:{port}", scheme, chosen, folder)
        browser.close()
    return 0


def take(
    browser: Any, address: str, scheme: str, chosen: list[tuple[str, str]], folder: Path
) -> None:
    """Sign in once and take the chosen pictures of one colour scheme."""
    context = browser.new_context(base_url=address, color_scheme=scheme)
    tab = context.new_page()
    sign_in(tab)
    for page, size in chosen:
        width, height = SIZES[size]
        tab.set_viewport_size({"width": width, "height": height})
        show(tab, page)
        keep(tab.screenshot(), folder / f"{page}-{size}-{scheme}.png")
    context.close()


def sign_in(tab: Any) -> None:
    tab.goto("/account/login/")
    tab.fill("[name=login]", EMAIL)
    tab.fill("[name=password]", PASSWORD)
    tab.press("[name=password]", "Enter")
    tab.wait_for_url("**/v/larkspur/")


def show(tab: Any, page: str) -> None:
    """Open a page and refuse to take a picture of an error."""
    answer = tab.goto(PAGES[page] or PAGES["tag"])
    if answer is None or answer.status != 200:
        raise RuntimeError(f"The page {page} did not open.")
    if page == "check":
        tab.locator('form[action*="/check"] button').first.click()
        tab.wait_for_url("**/checks/*/")
    tab.wait_for_load_state("networkidle")


def keep(shot: bytes, path: Path) -> None:
    """A flat page needs few colours: the picture is a fraction of the browser's own."""
    picture = Image.open(io.BytesIO(shot)).convert("RGB")
    picture = picture.quantize(COLOURS, dither=Image.Dither.NONE)
    picture.save(path, optimize=True)
    print(f"{path.relative_to(PROJECT)}  {path.stat().st_size // 1024} KiB")


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
