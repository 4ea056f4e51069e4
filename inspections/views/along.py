"""Voice notes and drawn signatures, as a phone sends them after the check."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse, JsonResponse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from inspections.actions.attach_sent_photographs import NotAsAnnounced
from inspections.actions.receive_along import receive_along
from inspections.actions.receive_message import OfAnotherPerson
from inspections.along import TO_COME
from inspections.views.sync import phone_page
from venue.access import SignedInRequest
from venue.drawn_signatures import NotADrawing
from venue.file_store import StoreFull
from venue.language_now import said
from venue.models import Venue
from venue.voice_notes import MAX_BYTES, NotAVoiceNote

STATUS = {
    NotAsAnnounced: 400, OfAnotherPerson: 403, NotAVoiceNote: 422, NotADrawing: 422, StoreFull: 507,
}  # fmt: skip


@require_http_methods(["PUT"])
@phone_page("carry out checks")
def put_along(
    request: SignedInRequest, venue: Venue, pk: UUID, what: str, digest: str
) -> HttpResponse:
    if what not in TO_COME:
        return JsonResponse({"words": said("This book does not know what this is.")}, status=422)
    content = request.read(MAX_BYTES + 1)
    if len(content) > MAX_BYTES:
        return JsonResponse({"words": said("A voice note may have 5 MB.")}, status=413)
    try:
        row = receive_along(
            venue=venue, check_id=pk, what=what, question=request.GET.get("question", ""),
            content=content, digest=digest, by=request.user, at=timezone.now(),
        )  # fmt: skip
    except tuple(STATUS) as fault:
        return JsonResponse({"words": said(fault)}, status=STATUS[type(fault)])
    return JsonResponse({"sha256": row.sha256, "stored": True})
