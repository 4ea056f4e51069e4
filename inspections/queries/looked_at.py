"""When something was looked at: what a phone sends later is not the newer for that."""

from __future__ import annotations

from django.db.models.functions import Coalesce


def looked_at(record: str = "", arrived: str = "at") -> Coalesce:
    """For rows of records, or of what leads to one by `record` ("answer__record__")."""
    return Coalesce(f"{record}sent__earliest_at", arrived)
