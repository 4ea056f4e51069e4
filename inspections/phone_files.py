"""Which files a phone keeps, and the text of its worker. Pure but for reading our own files."""

from __future__ import annotations

import json
from collections.abc import Sequence
from functools import cache
from hashlib import sha256
from pathlib import Path

from venue.tight_script import tight

KEPT = ("img/*.svg", "fonts/*.woff2")


def files_for_phone(root: Path) -> list[str]:
    """What a kept page asks for beside its two scripts and its style, by its name there."""
    found = [file for pattern in KEPT for file in root.glob(pattern)]
    return sorted(file.relative_to(root).as_posix() for file in found)


@cache
def release_of(root: Path) -> str:
    """A short name made from the bytes of every page and script, so that a phone notices new ones.
    They do not change while the server runs."""
    digest = sha256()
    for folder in ("templates", "static"):
        for file in sorted((root / folder).rglob("*")):
            if file.is_file():
                digest.update(file.relative_to(root).as_posix().encode())
                digest.update(file.read_bytes())
    return digest.hexdigest()[:12]


def worker_script(release: str, addresses: Sequence[str], root: Path) -> str:
    """The worker with its release and its list, so that a new release is a new script."""
    head = f"const RELEASE = {json.dumps(release)};\nconst FILES = {json.dumps(list(addresses))};\n"
    return tight(head + (root / "js" / "phone" / "worker.js").read_text(encoding="utf-8"))
