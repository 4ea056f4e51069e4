"""Which ropes would meet a limit soon if their readings went on as they did."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Q

from inspections.models import Judged
from inspections.queries.looked_at import looked_at
from inspections.rope_forecast import Nearing, Seen, can_be_told, nearing
from venue.models import Part, Venue

WIRE_ROPE = "wire_rope"
LOOK_BACK, AHEAD = timedelta(days=3 * 365), timedelta(days=180)


@dataclass(frozen=True)
class NearingRope:
    rope: Part
    nearing: Nearing


@dataclass(frozen=True)
class RopeForecasts:
    """The ropes that near a limit, the nearest first, and how many nothing can be said of."""

    ropes: list[NearingRope]
    unknown: int


def rope_forecasts(venue: Venue, day: date) -> RopeForecasts:
    """Two queries, however many ropes there are."""
    ropes = Part.objects.filter(
        equipment__venue=venue, kind=WIRE_ROPE, retired_on=None, equipment__standing="installed"
    ).select_related("equipment")
    seen = _seen(Q(answer__observation__part__equipment__venue=venue), day - LOOK_BACK)
    found, unknown = [], 0
    for rope in ropes:
        unknown += not can_be_told(seen[rope.pk])
        one = nearing(seen[rope.pk])
        if one and one.day <= day + AHEAD:
            found.append(NearingRope(rope, one))
    return RopeForecasts(sorted(found, key=lambda each: each.nearing.day), unknown)


def nearing_of(rope: Part, day: date) -> Nearing | None:
    """The limit that this rope would meet soon, by the same lines as the list of all."""
    seen = _seen(Q(answer__observation__part=rope), day - LOOK_BACK)
    one = nearing(seen[rope.pk])
    return one if one and one.day <= day + AHEAD else None


def _seen(which: Q, since: date) -> dict[int, list[Seen]]:
    judged = Judged.objects.filter(
        which,
        answer__observation__part__retired_on=None,
        answer__record__done_on__gte=since,
    ).order_by(looked_at("answer__record__", "answer__record__at"), "pk")
    rows = judged.values_list("answer__observation__part", "answer__record__done_on", "body")
    seen: dict[int, list[Seen]] = defaultdict(list)
    for rope, day, body in rows.iterator(chunk_size=500):
        for result in body.get("results", []):
            if result["comparator"] in (">", ">="):  # the others do not grow towards their limit
                words = f"{result['words']} ({body['title']}, {result['clause']})"
                seen[rope].append(Seen(words, day, result["value"], result["limit"]))
    return seen
