"""Which files a phone keeps, and the text of its worker. Pure but for reading our own files."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from functools import cache
from hashlib import sha256
from pathlib import Path

from venue.languages import ENGLISH
from venue.script_words import in_language
from venue.tight_script import tight

LOCALES = ("config/locale", "inspections/locale")
KEPT = ("img/*.svg", "fonts/*.woff2")


def files_for_phone(root: Path) -> list[str]:
    """What a kept page asks for beside its two scripts and its style, by its name there."""
    found = [file for pattern in KEPT for file in root.glob(pattern)]
    return sorted(file.relative_to(root).as_posix() for file in found)


def release_of(root: Path, language: str = ENGLISH) -> str:
    """A short name for what a phone keeps. What it keeps in one language serves no other."""
    release = _release_of(root)
    return release if language.startswith(ENGLISH) else f"{release}-{language}"


@cache
def _release_of(root: Path) -> str:
    """Made from the bytes of every page, script and catalogue, so that a phone notices new ones.
    They do not change while the server runs."""
    digest = sha256()
    for folder in ("templates", "static", *LOCALES):
        for file in sorted((root / folder).rglob("*")):
            if file.is_file():
                digest.update(file.relative_to(root).as_posix().encode())
                digest.update(file.read_bytes())
    return digest.hexdigest()[:12]


def worker_script(
    release: str,
    addresses: Sequence[str],
    root: Path,
    known: Mapping[str, str] | None = None,
    *,
    push: bool = False,
) -> str:
    """The worker with its release and its list, so that a new release is a new script; its few
    words by what is known of a language. `push`: it also shows messages, where they are switched on."""
    head = f"const RELEASE = {json.dumps(release)};\nconst FILES = {json.dumps(list(addresses))};\n"
    names = ("worker.js", "push_worker.js") if push else ("worker.js",)
    texts = [(root / "js" / "phone" / name).read_text(encoding="utf-8") for name in names]
    plain = tight(head + "\n".join(texts))
    return in_language(plain, known or {})
