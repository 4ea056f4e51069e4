"""The one script and the one style of every page, and the small script that sets its look before
anything is drawn: what is in them, and where they are."""

from __future__ import annotations

import gzip
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
def _kept(last_changed: float, language: str) -> tuple[FrontFile, ...]:
    root = Path(settings.BASE_DIR) / "static"
    by_itself = f"{settings.STATIC_URL}{{}}".format  # what it imports stands beside it, unhashed
    script, desk = (
        in_language(one_script(root, scripts, by_itself), known_in(language, "phone"))
        for scripts in (SCRIPTS, DESK_SCRIPTS)
    )
    texts = (script, one_style(root, STYLES, static), look_script(root), desk)
    return tuple(_file(text) for text in texts)


def look_script(root: Path) -> str:
    return tight((root / LOOK).read_text(encoding="utf-8"))


def front_files(language: str = "") -> tuple[FrontFile, ...]:
    """The script in a language, the style, the look, and the script of a desk page. They
    do not change while the server runs, but a developer's do."""
    files = (Path(settings.BASE_DIR) / "static").rglob("*.*s") if settings.DEBUG else ()
    last_changed = max((file.stat().st_mtime for file in files), default=0)
    return _kept(last_changed, plain(language or ENGLISH))


def script_address() -> str:
    """In the language of the page. English needs no word in its address."""
    return _in_language("one_script", 0)


def desk_script_address() -> str:
    return _in_language("desk_script", 3)


def _in_language(name: str, place: int) -> str:
    language = get_language() or ENGLISH
    said = "" if language.startswith(ENGLISH) else f"{language}-"
    return f"{reverse(name)}?{said}{front_files(language)[place].digest}"


def style_address() -> str:
    return f"{reverse('one_style')}?{front_files()[1].digest}"


def look_address() -> str:
    return f"{reverse('look_script')}?{front_files()[2].digest}"
