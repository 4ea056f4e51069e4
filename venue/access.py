"""Find the venue and the person's role for a view. What is not theirs does not exist (404)."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404
from django.utils import timezone

from venue.language_now import in_language_of
from venue.models import Membership, Person, Venue
from venue.roles import may

View = Callable[..., HttpResponseBase]


class SignedInRequest(HttpRequest):
    """What a venue's view gets: default-deny made sure of the person, `venue_page` of the rest."""

    user: Person
    venue: Venue
    role: str


def venue_page(what: str) -> Callable[[View], View]:
    """A view of one venue: gets `venue` instead of the slug; the role must allow `what`.

    Another venue is 404 (its existence is not told); a deed beyond the role is 403.
    """

    def wrap(view: View) -> View:
        @wraps(view)
        def in_venue(
            request: SignedInRequest, slug: str, *args: Any, **kwargs: Any
        ) -> HttpResponseBase:
            running = Membership.objects.filter(person=request.user, ended_on__isnull=True)
            membership = get_object_or_404(running.select_related("venue"), venue__slug=slug)
            venue = membership.venue
            request.venue, request.role = venue, membership.role
            if not may(membership.role, what):
                raise PermissionDenied(
                    f"Your role here ({membership.get_role_display()}) may not {what}."
                )
            # Every time on the page, and every time typed, is in the venue's own zone.
            with timezone.override(venue.zone), in_language_of(request, venue):
                return view(request, venue, *args, **kwargs)

        in_venue.needs = what  # type: ignore[attr-defined]
        return in_venue

    return wrap
