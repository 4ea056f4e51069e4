"""Equipment in which a part was put in or taken out, and nobody has looked at it since: its last
check was of something else."""

from __future__ import annotations

from collections.abc import Iterable

from django.db.models import Exists, OuterRef, Q, QuerySet

from inspections.models import Answer, Record
from venue.models import Part

# A check of the very day counts if it was begun after the part was written off; where that moment is
# not known, only one of a later day.
SINCE_IT_LEFT = Q(done_on__gt=OuterRef("retired_on")) | Q(
    done_on=OuterRef("retired_on"), started_at__gte=OuterRef("retired_at")
)


def changed_since_looked_at(equipment_ids: Iterable[int]) -> set[int]:
    """Of these, the pieces of equipment with such a part; in one query, however many they are."""
    parts = Part.objects.filter(equipment__in=list(equipment_ids)).annotate(
        answered=Exists(Answer.objects.filter(part=OuterRef("pk"))),
        kind_is_asked=Exists(
            Answer.objects.filter(
                record__equipment=OuterRef("equipment"), part__kind=OuterRef("kind")
            )
        ),
        looked_after_it_came=Exists(
            _records().filter(done_on__gt=OuterRef("predecessor__retired_on"))
        ),
        looked_since_it_left=Exists(_records().filter(SINCE_IT_LEFT)),
    )
    # A kind of part that some check asks about was seen only when it was itself answered for.
    came = Q(retired_on__isnull=True, predecessor__isnull=False, answered=False) & (
        Q(kind_is_asked=True) | Q(looked_after_it_came=False)
    )
    left = Q(retired_on__isnull=False, looked_since_it_left=False)
    return set(parts.filter(came | left).values_list("equipment_id", flat=True))


def _records() -> QuerySet[Record]:
    return Record.objects.filter(equipment=OuterRef("equipment"))
