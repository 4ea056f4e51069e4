"""What a phone asks and sends. Always JSON: a phone must never take a sign-in page for an answer."""

from __future__ import annotations

from collections.abc import Callable
from uuid import UUID

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.http.response import HttpResponseBase
from django.middleware.csrf import get_token
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from inspections.actions.attach_sent_photographs import NotAsAnnounced, receive_photograph
from inspections.actions.receive_check import receive_check
from inspections.actions.receive_message import OfAnotherPerson, OtherUnderThisId
from inspections.actions.receive_stop import receive_stop
from inspections.actions.sign_check import CheckToCome, receive_signature
from inspections.models import Sent
from inspections.passkey_signatures import NotSigned
from inspections.phone_message import FLAG_WORDS, Unreadable, clock_from
from venue.access import SignedInRequest, venue_page
from venue.file_store import StoreFull
from venue.language_now import said
from venue.log_hash import sha256_of
from venue.models import Venue
from venue.photographs import MAX_BYTES, NotAPhotograph

MAX_MESSAGE = 1_000_000
MAX_SIGNATURE = 20_000
View = Callable[..., HttpResponseBase]


def phone_page(what: str) -> Callable[[View], View]:
    """Like `venue_page`, but whoever is not signed in gets 401 in JSON and no redirect."""

    def wrap(view: View) -> View:
        inside = venue_page(what)(view)

        def asked_by_phone(
            request: HttpRequest, *args: object, **kwargs: object
        ) -> HttpResponseBase:
            if not request.user.is_authenticated:
                return JsonResponse({"words": said("Sign in again; nothing is lost.")}, status=401)
            return inside(request, *args, **kwargs)

        asked_by_phone.needs = what  # type: ignore[attr-defined]
        return never_cache(login_not_required(asked_by_phone))

    return wrap


@phone_page("see pages")
def session(request: SignedInRequest, venue: Venue) -> JsonResponse:
    """Who is signed in, and a fresh token for what is sent next."""
    person = {"id": request.user.pk, "name": request.user.name}
    return JsonResponse({"person": person, "token": get_token(request)})


@require_http_methods(["PUT"])
@phone_page("carry out checks")
def put_check(request: SignedInRequest, venue: Venue, pk: UUID) -> HttpResponse:
    return _receive(request, venue, pk, receive_check)


@require_http_methods(["PUT"])
@phone_page("take out of service")
def put_stop(request: SignedInRequest, venue: Venue, pk: UUID) -> HttpResponse:
    return _receive(request, venue, pk, receive_stop)


@require_http_methods(["PUT"])
@phone_page("carry out checks")
def put_photograph(request: SignedInRequest, venue: Venue, pk: UUID, digest: str) -> HttpResponse:
    if int(request.headers.get("Content-Length") or 0) > MAX_BYTES:
        return JsonResponse({"words": said("A photograph may have 25 MB.")}, status=413)
    question = request.GET.get("question", "")
    try:
        sent = receive_photograph(
            venue=venue, check_id=pk, question=question, content=request.read(), digest=digest,
            by=request.user, at=timezone.now(),
        )  # fmt: skip
    except NotAsAnnounced as fault:
        return JsonResponse({"words": said(fault)}, status=400)
    except NotAPhotograph as fault:
        return JsonResponse({"words": said(fault)}, status=422)
    except StoreFull as fault:
        return JsonResponse({"words": said(fault)}, status=507)
    return JsonResponse({"sha256": sent.sha256, "stored": True})


@require_http_methods(["PUT"])
@phone_page("carry out checks")
def put_signature(request: SignedInRequest, venue: Venue, pk: UUID) -> HttpResponse:
    text = request.read(MAX_SIGNATURE).decode("utf-8", errors="replace").replace("\x00", "\ufffd")
    origin = f"{request.scheme}://{request.get_host()}"
    try:
        receive_signature(
            venue=venue, check_id=pk, text=text, origin=origin, by=request.user, at=timezone.now()
        )
    except CheckToCome as fault:
        return JsonResponse({"words": said(fault)}, status=404)
    except OfAnotherPerson as fault:
        return JsonResponse({"words": said(fault), "other_person": True}, status=403)
    except NotSigned as fault:
        return JsonResponse({"words": said(fault), "kept_aside": True}, status=422)
    return JsonResponse({"stored": True, "sha256": sha256_of(text), "words": []})


def _receive(
    request: SignedInRequest, venue: Venue, pk: UUID, receive: Callable[..., Sent]
) -> JsonResponse:
    content = request.read(MAX_MESSAGE + 1)
    if len(content) > MAX_MESSAGE:
        return JsonResponse({"words": said("This message is too long.")}, status=413)
    text = content.decode("utf-8", errors="replace").replace("\x00", "\ufffd")
    now = timezone.now()
    sent_at = clock_from(request.headers.get("Phone-Clock", ""), now)
    try:
        sent = receive(venue=venue, pk=pk, text=text, by=request.user, at=now, sent_at=sent_at)
    except OfAnotherPerson as fault:
        return JsonResponse({"words": said(fault), "other_person": True}, status=403)
    except OtherUnderThisId as fault:
        return JsonResponse({"words": said(fault), "kept_aside": True}, status=409)
    except Unreadable as fault:
        return JsonResponse({"words": said(fault), "kept_aside": True}, status=422)
    return JsonResponse(_receipt(sent))


def _receipt(sent: Sent) -> dict[str, object]:
    """The phone forgets its copy only on a receipt that repeats its own SHA-256."""
    record = sent.record
    return {
        "id": str(sent.pk), "sha256": sent.sha256, "stored": True,
        "received_at": sent.received_at.isoformat(), "state": record.state if record else "",
        "record_sha256": record.sha256 if record else "", "flags": sent.flags,
        "words": [said(FLAG_WORDS[flag]) for flag in sent.flags],
    }  # fmt: skip
