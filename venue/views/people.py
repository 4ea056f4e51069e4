from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from venue.access import SignedInRequest, venue_page
from venue.actions import people as actions
from venue.forms import CompetenceForm
from venue.lists.people import people_table
from venue.models import Membership, Venue
from venue.queries.people import people_with_competences
from venue.roles import may
from venue.views.long_lists import long_list_page


@venue_page("see pages")
def people(request: SignedInRequest, venue: Venue) -> HttpResponse:
    today = timezone.now().astimezone(venue.zone).date()
    here = people_with_competences(venue, today)
    table = people_table(venue, manages=may(request.role, "manage people"))
    known = {"venue": venue, "people": here}
    return long_list_page(request, "venue/people.html", table, lambda: here, known)


@venue_page("manage people")
def add_competence(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    membership = get_object_or_404(Membership.objects.visible_to(request.user), pk=pk, venue=venue)
    form = CompetenceForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            actions.add_competence(
                membership=membership, by=request.user, at=timezone.now(), **form.cleaned_data
            )
            return redirect("people", venue.slug)
        except actions.PersonRefused as refusal:
            form.add_error(None, str(refusal))
    title = f"Competence of {membership.person.name}"
    return render(request, "venue/form.html", {"venue": venue, "form": form, "title": title})


@require_POST
@venue_page("manage people")
def end_membership(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    membership = get_object_or_404(Membership.objects.visible_to(request.user), pk=pk, venue=venue)
    try:
        actions.end_membership(membership=membership, by=request.user, at=timezone.now())
    except actions.PersonRefused as refusal:
        messages.error(request, str(refusal))
    return redirect("people", venue.slug)
