"""Settings: every name that the environment may carry."""

from __future__ import annotations

from config.environment import LEFT_OUT, OPTIONAL, REQUIRED, SHORTEST_SECRET
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
        table(("Name", "What it says"), _rows(REQUIRED)),
        f"The long random text has {SHORTEST_SECRET} characters or more.",
        "## May be left out",
        table(
            ("Name", "What it says", "Left out"),
            [
                (*row, plain(LEFT_OUT[name]))
                for name, row in zip(OPTIONAL, _rows(OPTIONAL), strict=True)
            ],
        ),
    )


def _rows(names: dict[str, str]) -> list[tuple[str, str]]:
    return [(code(name), capital(plain(meaning))) for name, meaning in names.items()]
