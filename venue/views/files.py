from __future__ import annotations

from pathlib import Path

from django.conf import settings
from django.http import FileResponse, Http404
from django.shortcuts import get_object_or_404

from venue.access import SignedInRequest, venue_page
from venue.file_store import path_of
from venue.models import KeptFile, Venue


@venue_page("see pages")
def kept_file(request: SignedInRequest, venue: Venue, pk: int) -> FileResponse:
    """A photograph's clean copy, shown; anything else only as a download under our own name."""
    kept = get_object_or_404(KeptFile.objects.visible_to(request.user), pk=pk, venue=venue)
    path = path_of(Path(settings.LOFTBOOK_FILES), kept.shown_sha256)
    if not path.exists():
        raise Http404("The file is not in the store.")
    shown = kept.what == KeptFile.What.PHOTOGRAPH
    response = FileResponse(
        path.open("rb"), as_attachment=not shown, content_type=kept.shown_media_type
    )
    response.headers["X-Content-Type-Options"] = "nosniff"
    if not shown:
        response.headers["Content-Disposition"] = f'attachment; filename="{kept.sha256[:12]}.pdf"'
    return response
