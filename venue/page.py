"""What every page shows around its content: the venue, the person, the ways to go."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest
from django.urls import reverse
from django.utils.translation import get_language

from venue.language_now import plain
from venue.languages import ENGLISH, LANGUAGES
from venue.queries.log_checks import newest_check
from venue.roles import may

# Label, URL name, what the role must be allowed to do.
WAYS = (
    ("Tonight", "overview", "see pages"),
    ("My round", "round", "carry out checks"),
    ("Equipment", "equipment_list", "see pages"),
    ("Tasks", "task_list", "see pages"),
    ("Year", "year_plans", "plan tasks"),
    ("Findings", "finding_list", "see pages"),
    ("Reports", "reports", "see pages"),
    ("Calculators", "calculators", "see pages"),
    ("Evidence", "evidence", "export evidence"),
    ("House", "house", "see pages"),
)


def page(request: HttpRequest) -> dict[str, Any]:
    venue, role = getattr(request, "venue", None), getattr(request, "role", None)
    person = (
        request.user if getattr(request, "user", None) and request.user.is_authenticated else None
    )
    ways = _ways(request, venue, role) if venue else []
    return {
        "page": {
            "venue": venue,
            "role": role,
            "person": person,
            "nav": ways,
            "log_check": _broken_log(venue, role),
            "by_link": getattr(request, "desk_link", None),  # whoever came by one, until its end
            "language": _language(venue),
            "language_name": dict(LANGUAGES).get(plain(get_language() or ENGLISH), ""),
            "set_up": _set_up_goes_on(request, venue, role),
        }
    }


def _language(venue) -> str:
    """Of the page, for whoever has it read aloud; English as the house's stage speaks it."""
    language = get_language() or ENGLISH
    return venue.dialect if venue and plain(language) == ENGLISH else plain(language)


def _broken_log(venue, role: str | None) -> Any:
    """What the last check of the log found wrong, for whoever must act on it."""
    check = newest_check(venue) if venue and role == "manager" else None
    return check if check and check.faults else None


def _set_up_goes_on(request: HttpRequest, venue, role: str | None) -> bool:
    """Whether to show the way back to the steps; the steps themselves have their own."""
    goes_on = bool(venue and venue.set_up_since and role == "manager")
    return goes_on and "/set-up/" not in request.path


def _ways(request: HttpRequest, venue, role: str | None) -> list[dict[str, Any]]:
    ways = []
    for label, name, what in WAYS:
        if may(role, what):
            url = reverse(name, args=[venue.slug])
            ways.append({"label": label, "url": url, "current": request.path == url})
    return ways
