from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from inspections.actions.forget_person import CannotForget, forget_person
from inspections.forms_forget import ForgetForm
from inspections.names_stay import FREE_TEXT, OUT_OF_REACH
from inspections.queries.forgetting import names_in_log, people_who_left, where_it_stays
from venue.access import SignedInRequest, venue_page
from venue.models import Venue


@venue_page("manage people")
def people_left(request: SignedInRequest, venue: Venue) -> HttpResponse:
    """Who held a role here and holds none now."""
    known = {"venue": venue, "people": people_who_left(venue)}
    return render(request, "inspections/people_left.html", known)


@venue_page("manage people")
def forget(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    """What goes, what stays and why; then, once and for good, the name goes."""
    person = get_object_or_404(people_who_left(venue), pk=pk)
    form = ForgetForm(request.POST or None, initial={"basis": "law"})
    if request.method == "POST" and form.is_valid():
        said = {name: form.cleaned_data[name] for name in ("basis", "reason")}
        try:
            forget_person(venue=venue, person=person, by=request.user, at=timezone.now(), **said)
            messages.success(request, "The name is removed. What they did stays in the log.")
            return redirect("people_left", venue.slug)
        except CannotForget as refusal:
            form.add_error(None, str(refusal))
    known = {"venue": venue, "person": person, "form": form, "stays": where_it_stays(venue, person)}
    known |= {"names": names_in_log(venue, person), "free_text": FREE_TEXT, "gone": OUT_OF_REACH}
    return render(request, "inspections/forget.html", known)
