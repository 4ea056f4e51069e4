"""Whether background work goes on. The sign of life is the row of a finished task: it shows that the
queue was read, a worker worked and the result was stored. The supervisor sends a probe every 30 s,
so a silence of minutes means that nothing works, and not merely that there is nothing to do."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Max
from django_q.models import Task

# Two tasks may keep both workers busy for two minutes each, and the supervisor replaces workers
# that were silent for five: what lasts longer does not mend itself.
STILL_AFTER = timedelta(minutes=6)
SILENT_AFTER = timedelta(seconds=90)  # three probes


@dataclass(frozen=True)
class BackgroundWork:
    """When a background task last came to its end, and whether that is too long ago."""

    last_seen: datetime | None
    now: datetime

    @property
    def seconds_ago(self) -> int | None:
        if self.last_seen is None:
            return None
        return max(0, int((self.now - self.last_seen).total_seconds()))

    @property
    def stands_still(self) -> bool:
        return self.last_seen is None or self.now - self.last_seen > STILL_AFTER

    @property
    def silent(self) -> bool:
        """Not seen for longer than the rule, and not yet long enough to be sure."""
        seen = self.last_seen
        return not self.stands_still and seen is not None and self.now - seen > SILENT_AFTER


def last_seen() -> datetime | None:
    """When a background task last came to its end; None when none ever did."""
    return Task.objects.aggregate(latest=Max("stopped"))["latest"]


def background_work(now: datetime) -> BackgroundWork:
    return BackgroundWork(last_seen(), now)
