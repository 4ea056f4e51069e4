from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from inspections.actions.mail_heads import ReceiverThere, add_head_receiver, end_head_receiver
from inspections.forms_proof import ReceiverForm
from inspections.models import HeadReceiver
from inspections.queries.heads import heads_of, receivers_of
from venue.access import SignedInRequest, venue_page
from venue.models import Venue
from venue.queries.log_checks import newest_check


@venue_page("see pages")
def heads(request: SignedInRequest, venue: Venue) -> HttpResponse:
    """The signed heads, what the last check of the log found, and who is sent them."""
    known = {
        "venue": venue,
        "heads": heads_of(venue, request.user),
        "receivers": receivers_of(venue, request.user),
        "check": newest_check(venue),
    }
    return render(request, "inspections/heads.html", known)


@venue_page("manage people")
def add_receiver(request: SignedInRequest, venue: Venue) -> HttpResponse:
    form = ReceiverForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        address, whose = form.cleaned_data["to"], form.cleaned_data["whose"]
        try:
            add_head_receiver(
                venue=venue, address=address, whose=whose, by=request.user, at=timezone.now()
            )
            messages.success(request, f"{address} is sent a head each day.")
            return redirect("heads", venue.slug)
        except ReceiverThere as refusal:
            form.add_error("to", str(refusal))
    title = "Send the heads of the log to an address"
    return render(request, "venue/form.html", {"venue": venue, "form": form, "title": title})


@require_POST
@venue_page("manage people")
def end_receiver(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    rows = HeadReceiver.objects.visible_to(request.user).in_venue(venue)
    receiver = get_object_or_404(rows, pk=pk)
    end_head_receiver(receiver=receiver, by=request.user, at=timezone.now())
    messages.success(request, f"{receiver.address} is sent no more heads.")
    return redirect("heads", venue.slug)
