from __future__ import annotations

from pathlib import Path

from django.conf import settings
from django.http import FileResponse, Http404
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404

from venue.access import SignedInRequest, venue_page
from venue.file_store import path_of
from venue.models import KeptFile, Venue
from venue.sound import sound_response
from venue.voice_notes import ENDINGS


@venue_page("see pages")
def kept_file(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponseBase:
    """The clean copy of a picture, shown; a sound to be played or kept; anything else only as a
    download. Never under a name that somebody sent."""
    kept = get_object_or_404(KeptFile.objects.visible_to(request.user), pk=pk, venue=venue)
    path = path_of(Path(settings.LOFTBOOK_FILES), kept.shown_sha256)
    if not path.exists():
        raise Http404("The file is not in the store.")
    if kept.what == KeptFile.What.VOICE_NOTE:
        name = f"{kept.sha256[:12]}.{ENDINGS[kept.media_type]}"
        return sound_response(request, path, kept.media_type, name)
    shown = kept.what in (KeptFile.What.PHOTOGRAPH, KeptFile.What.DRAWN_SIGNATURE)
    response = FileResponse(
        path.open("rb"), as_attachment=not shown, content_type=kept.shown_media_type
    )
    response.headers["X-Content-Type-Options"] = "nosniff"
    if not shown:
        response.headers["Content-Disposition"] = f'attachment; filename="{kept.sha256[:12]}.pdf"'
    return response
