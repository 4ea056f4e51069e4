from __future__ import annotations

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import override

from venue.actions.language import choose_language as choose
from venue.forms_language import LanguageForm
from venue.language_now import language_for, remember_language
from venue.models import Person


@login_not_required
def choose_language(request: HttpRequest) -> HttpResponse:
    """For whoever is signed in, on every device; else for this browser."""
    person = request.user if isinstance(request.user, Person) else None
    with override(language_for(person)):
        form = LanguageForm(request.POST or None, initial={"language": language_for(person)})
        if request.method != "POST" or not form.is_valid():
            return render(
                request, "venue/language.html", {"form": form, "way_back": _way_back(request)}
            )
    language = form.cleaned_data["language"]
    if person:
        choose(person=person, language=language, by=person, at=timezone.now())
    answer = redirect(_way_back(request))
    remember_language(answer, language)
    return answer


def _way_back(request: HttpRequest) -> str:
    wanted = request.GET.get("next", "")
    own = url_has_allowed_host_and_scheme(wanted, {request.get_host()}, request.is_secure())
    return wanted if own else "/"
