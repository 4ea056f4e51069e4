"""Rewrite the pinned sets from what is installed: `.venv/bin/python -m config.setup.pins`.

The lines above the mark are chosen by hand; those below are everything they bring along.
"""

import re
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path

from packaging.requirements import Requirement

MARK = "# --- brought along by the above; rewritten by config/setup/pins.py ---"
BASE = Path(__file__).resolve().parent.parent.parent


def chosen(path: Path) -> list[Requirement]:
    """The requirements above the mark."""
    above = path.read_text(encoding="utf-8").split(MARK)[0].splitlines()
    lines = [line.split(" #")[0].strip() for line in above]
    return [Requirement(line) for line in lines if line and line[0] not in "#-"]


def plain(name: str) -> str:
    """A package's name as the index writes it."""
    return re.sub(r"[-_.]+", "-", name).lower()


def wanted_by(requirement: Requirement) -> list[Requirement]:
    """What an installed package asks for on this Python, with the extras asked of it."""
    extras = {"", *requirement.extras}
    asked = [Requirement(text) for text in distribution(requirement.name).requires or []]
    return [
        r for r in asked if not r.marker or any(r.marker.evaluate({"extra": e}) for e in extras)
    ]


def closure(start: list[Requirement]) -> dict[str, str]:
    """Every package reached from the start, with its installed version."""
    found: dict[str, str] = {}
    seen: set[tuple[str, frozenset[str]]] = set()
    waiting = list(start)
    while waiting:
        requirement = waiting.pop()
        key = (plain(requirement.name), frozenset(requirement.extras))
        if key in seen:
            continue
        seen.add(key)
        try:
            found[key[0]] = distribution(requirement.name).version
        except PackageNotFoundError:
            raise SystemExit(f"{requirement.name} is not installed in this Python") from None
        waiting += wanted_by(requirement)
    return found


def rewrite(path: Path, leave_out: set[str]) -> set[str]:
    """Rewrite one file below its mark; return every name it now pins."""
    direct = chosen(path)
    pinned = closure(direct)
    named = {plain(requirement.name) for requirement in direct}
    along = sorted(pinned.keys() - named - leave_out)
    lines = [f"{name}=={pinned[name]}" for name in along]
    above = path.read_text(encoding="utf-8").split(MARK)[0].rstrip()
    path.write_text("\n".join([above, "", MARK, *lines, ""]), encoding="utf-8")
    return set(pinned)


if __name__ == "__main__":
    runtime = rewrite(BASE / "requirements.txt", set())
    rewrite(BASE / "requirements-dev.txt", runtime)
