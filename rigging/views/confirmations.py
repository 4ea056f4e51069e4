from __future__ import annotations

from django import forms
from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_POST

from rigging.actions import confirm_figures as actions
from rigging.engine import load_rulesets
from rigging.models import FigureConfirmed
from rigging.queries.confirmations import open_figures
from venue.access import SignedInRequest, venue_page
from venue.models import Venue


class DocumentForm(forms.Form):
    document = forms.CharField(
        max_length=200, label=_("Document"), help_text=_("As it is printed on its cover.")
    )
    edition = forms.CharField(
        max_length=120, label=_("Edition"), help_text=_("Year, amendment, print.")
    )
    clause = forms.CharField(max_length=120, label=_("Clause or table"))
    have_it = forms.BooleanField(
        label=_(
            "I have the document before me. It prints the figures that I ticked, and no others."
        )
    )


@venue_page("confirm figures")
def confirm(request: SignedInRequest, venue: Venue, ruleset: str) -> HttpResponse:
    """Figures known from memory only, compared with the document by a named person."""
    rules = load_rulesets().get(ruleset)
    if rules is None:
        raise Http404
    form = DocumentForm(request.POST or None)
    if request.method == "POST" and form.is_valid() and _confirmed(request, venue, ruleset, form):
        return redirect("ruleset", venue.slug, ruleset)
    figures = open_figures(venue, timezone.localdate(), rules)
    shown = {"venue": venue, "rules": rules, "form": form, "figures": figures}
    return render(request, "rigging/confirm.html", shown)


def _confirmed(
    request: SignedInRequest, venue: Venue, ruleset: str, form: DocumentForm
) -> bool:  # fmt: skip
    try:
        rows = actions.confirm_figures(
            venue=venue, ruleset=ruleset, criteria=request.POST.getlist("criterion"),
            before=actions.DocumentBefore(**form.cleaned_data), by=request.user, at=timezone.now(),
        )  # fmt: skip
    except actions.CannotConfirm as refusal:
        form.add_error(None, str(refusal))
        return False
    messages.success(request, f"{len(rows)} confirmed. They hold in this venue from today on.")
    return True


@require_POST
@venue_page("confirm figures")
def end(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    rows = FigureConfirmed.objects.visible_to(request.user)
    row = get_object_or_404(rows, pk=pk, venue=venue)
    try:
        actions.end_confirmation(
            row=row, why=request.POST.get("why", ""), by=request.user, at=timezone.now()
        )
    except actions.CannotConfirm as refusal:
        messages.error(request, str(refusal))
    return redirect("ruleset", venue.slug, row.ruleset)
