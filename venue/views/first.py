"""The door of an empty Loftbook: the first person, and nobody after them."""

from __future__ import annotations

from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters

from venue.actions.open_house import NotTheFirst, WrongCode, open_house
from venue.forms_first import FirstPersonForm
from venue.queries.people import nobody_is_here

SIGNED_IN_BY = "allauth.account.auth_backends.AuthenticationBackend"


@sensitive_post_parameters("code", "password")
@login_not_required
def first_person(request: HttpRequest) -> HttpResponse:
    if not nobody_is_here():
        return redirect("home" if request.user.is_authenticated else "account_login")
    form = FirstPersonForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            first = open_house(at=timezone.now(), **form.cleaned_data)
            login(request, first.person, backend=SIGNED_IN_BY)
            return redirect("set_up_house", first.venue.slug)
        except NotTheFirst:
            return redirect("home")
        except WrongCode as refusal:
            form.add_error("code", str(refusal))
    status = 422 if form.errors else 200
    return render(request, "venue/first_person.html", {"form": form}, status=status)
