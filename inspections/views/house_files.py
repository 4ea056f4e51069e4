from __future__ import annotations

from django.http import HttpResponse

from inspections.lists.files import file_table
from inspections.queries.house_files import house_files
from venue.access import SignedInRequest, venue_page
from venue.list_order import PAST
from venue.models import Venue
from venue.views.long_lists import long_list_page


@venue_page("see pages")
def file_list(request: SignedInRequest, venue: Venue) -> HttpResponse:
    """Whoever sees the pages that the files hang on sees the files."""
    past = request.GET.get(PAST, "")
    return long_list_page(
        request, "inspections/file_list.html", file_table(venue),
        lambda: house_files(venue, request.user, past), {"venue": venue},
    )  # fmt: skip
