"""The one script and the one style of every page, the small script that sets its look before
anything is drawn, and the scripts that single pages have beside them: what is in them, and where
they are. Each is told in the language of its page."""

from __future__ import annotations

import gzip
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from hashlib import sha256
from pathlib import Path

import brotli
from django.conf import settings
from django.templatetags.static import static
from django.urls import reverse
from django.utils.translation import get_language

from venue.language_now import known_in, plain
from venue.languages import ENGLISH, LANGUAGES
from venue.one_file import one_script, one_style
from venue.script_words import in_language
from venue.tight_script import tight

BLOCKS = (0, 16)  # of brotli: its own choice, and a small one
LOOK = "js/theme.js"
# In the order in which they start.
SCRIPTS = (
    "js/phone/line.js", "js/keypad.js", "js/check.js", "js/phone/round.js", "js/phone/ways_in.js",
    "js/phone/sign_page.js", "js/phone/sign_out.js",
)  # fmt: skip
# A page that asks nothing and keeps nothing on the phone: sending, and what stands still.
DESK_SCRIPTS = ("js/phone/line.js", "js/phone/sign_out.js")
# What single pages ask for beside it, by the name of its address.
OF_PAGES = {
    "board": ("js/board.js", "js/board_pointer.js"),
    "calculator": ("js/calculator.js",),
    "file-hash": ("js/file_hash.js", "js/drop.js"),
    "files": ("js/drop.js", "js/under_way.js"),
    "find": ("js/find.js",),
    "long-table": ("js/long_table.js",),
    "push": ("js/push.js",),
    "section-keys": ("js/section_keys.js",),
    "under-way": ("js/under_way.js",),
}
WHOLE, DESK, STYLE, LOOKS = "one_script", "desk_script", "one_style", "look_script"
JOINED = {WHOLE: SCRIPTS, DESK: DESK_SCRIPTS, **OF_PAGES}
STYLES = tuple(f"css/{name}.css" for name in ("tokens", "page", "table", "phone", "ways", "print"))


@dataclass(frozen=True)
class FrontFile:
    plain: bytes
    digest: str
    packed: dict[str, bytes]


def packed(plain: bytes) -> bytes:
    """In brotli, the smaller of two ways."""
    tried = (brotli.compress(plain, mode=brotli.MODE_TEXT, lgblock=block) for block in BLOCKS)
    return min(tried, key=len)


def read_codings(said: str) -> set[str]:
    """The codings that a browser can read; one with a weight of nothing it cannot.

    >>> sorted(read_codings("gzip, deflate, br;q=0.8")), read_codings("br;q=0, gzip; q=0.0")
    (['br', 'deflate', 'gzip'], set())
    """
    ways = [way.replace(" ", "").partition(";q=") for way in said.lower().split(",")]
    return {name for name, has_weight, weight in ways if not has_weight or weight.strip("0.")}


def _file(text: str) -> FrontFile:
    plain = text.encode()
    by_coding = {"br": packed(plain), "gzip": gzip.compress(plain, 9, mtime=0)}
    return FrontFile(plain, sha256(plain).hexdigest()[:12], by_coding)


@lru_cache(maxsize=len(LANGUAGES))
def _kept(last_changed: float, language: str) -> dict[str, FrontFile]:
    root = Path(settings.BASE_DIR) / "static"
    texts = joined_scripts(root, known_in(language, "phone"))
    texts |= {STYLE: one_style(root, STYLES, static), LOOKS: look_script(root)}
    return {name: _file(text) for name, text in texts.items()}


def joined_scripts(root: Path, known: Mapping[str, str]) -> dict[str, str]:
    """Every script by its name, with what is known of a language said in it."""
    by_itself = f"{settings.STATIC_URL}{{}}".format  # what it imports stands beside it, unhashed
    return {
        name: in_language(one_script(root, scripts, by_itself), known)
        for name, scripts in JOINED.items()
    }


def look_script(root: Path) -> str:
    return tight((root / LOOK).read_text(encoding="utf-8"))


def front_files(language: str = "") -> dict[str, FrontFile]:
    """The scripts in a language, the look and the style, by name. They do not change while the
    server runs, but a developer's do."""
    files = (Path(settings.BASE_DIR) / "static").rglob("*.*s") if settings.DEBUG else ()
    last_changed = max((file.stat().st_mtime for file in files), default=0)
    return _kept(last_changed, plain(language or ENGLISH))


def script_address() -> str:
    """In the language of the page. English needs no word in its address."""
    return _in_language(WHOLE, reverse(WHOLE))


def desk_script_address() -> str:
    return _in_language(DESK, reverse(DESK))


def page_script_address(name: str) -> str:
    """Of what one page has beside its script."""
    return _in_language(name, reverse("page_script", args=[name]))


def _in_language(name: str, where: str) -> str:
    language = get_language() or ENGLISH
    said = "" if language.startswith(ENGLISH) else f"{language}-"
    return f"{where}?{said}{front_files(language)[name].digest}"


def style_address() -> str:
    return f"{reverse(STYLE)}?{front_files()[STYLE].digest}"


def look_address() -> str:
    return f"{reverse(LOOKS)}?{front_files()[LOOKS].digest}"
