"""Settings: every name that the environment may carry."""

from __future__ import annotations

from config.environment import OPTIONAL, REQUIRED, SHORTEST_SECRET
from docs.from_data.markdown import capital, code, joined, plain, table


def pages() -> dict[str, str]:
    return {"settings": joined(_page())}


def _page() -> tuple[str, ...]:
    return (
        "# Settings",
        "Loftbook reads its settings from the environment, or from a file `.env` beside `manage.py` "
        "(`NAME=value`, a line each); the environment wins where both speak. `make run` writes what is "
        "needed. A name that begins with `LOFTBOOK_` and is not on this page is refused at the start, "
        "and so is a needed one that is missing.",
        "## Needed",
        _table(REQUIRED),
        f"The long random text has {SHORTEST_SECRET} characters or more.",
        "## May be left out",
        _table(OPTIONAL),
    )


def _table(names: dict[str, str]) -> str:
    rows = [(code(name), capital(plain(meaning))) for name, meaning in names.items()]
    return table(("Name", "What it says"), rows)
