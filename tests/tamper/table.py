"""Who caught what, as a table for docs/verify.md."""

from __future__ import annotations

from tests.tamper.run import Caught
from tests.tamper.tools import TOOLS


def table(found: Caught) -> str:
    heading = ["change", "made", *TOOLS]
    lines = [_line(heading), _line(["---"] * len(heading))]
    for kind, made in sorted(found.made.items()):
        lines.append(_line([kind, str(made), *(_share(found, kind, tool) for tool in TOOLS)]))
    return "\n".join(lines)


def _share(found: Caught, kind: str, tool: str) -> str:
    """All, none, or how many of them."""
    caught, made = found.by[kind, tool], found.made[kind]
    return {0: "", made: "all"}.get(caught, str(caught))


def _line(cells: list[str]) -> str:
    return f"| {' | '.join(cells)} |"
