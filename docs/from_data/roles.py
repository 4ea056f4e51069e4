"""Roles: who may do what, from the one table that every page asks."""

from __future__ import annotations

from docs.from_data.markdown import CAUTION, capital, joined, plain, table
from venue.models import Role
from venue.roles import MAY


def pages() -> dict[str, str]:
    return {"roles": joined(_page())}


def _page() -> tuple[str, ...]:
    roles = [(str(role.value), str(role.label)) for role in Role]
    return (
        "# Roles",
        CAUTION,
        "Who may do what in a venue. Each page asks this table; whoever may not is told so, and another "
        "venue is not shown to exist. A role is not enough to sign a check or to return something to "
        "service: for that a competence must be valid on the day.",
        table(("What", *(label for _, label in roles)), [_row(deed, roles) for deed in MAY]),
        "To see money is to see hourly prices, examiners' fees, what is made ready, cost forecasts and "
        "budgets. An insurer's auditor needs none of them to judge whether everything was looked at. "
        "Who changed a price, and from what to what, stands in the log like any other change.",
    )


def _row(deed: str, roles: list[tuple[str, str]]) -> tuple[str, ...]:
    return (capital(plain(deed)), *("yes" if role in MAY[deed] else "" for role, _ in roles))
