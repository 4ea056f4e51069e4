"""Ask for a report: sign it now, or see it as a draft first. The worker makes the PDF.

What is signed is frozen at the moment of signing: a remedy or an order that comes while the PDF is
being made is not slipped into what somebody signed.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import asdict, replace
from datetime import datetime

from inspections.actions.ask_for_job import Wish, ask_for_job
from inspections.actions.issue_report import CannotReport, sign
from inspections.actions.sign_kind import Wanted, draft_of_kind, sign_kind
from inspections.models import Job, Record
from inspections.queries.report_content import report_content
from inspections.reports.content import Report
from venue.log_hash import canonical, sha256_of
from venue.models import Person, Venue


def ask_for_report(
    *, venue: Venue, records: Sequence[Record], signer: Person, meaning: str, at: datetime
) -> tuple[Job, bool]:
    """The job that makes the signed report, and whether it is new. Raises MayNotSign, CannotReport,
    KeysUnreadable, SealExpired, TooManyAsked."""
    signing = sign(venue=venue, records=records, signer=signer, meaning=meaning, at=at)
    wish = _wish("report", signing.content, records, signer, meaning)
    return ask_for_job(venue=venue, wish=wish, by=signer, at=at)


def ask_for_draft(
    *, venue: Venue, records: Sequence[Record], by: Person, meaning: str, at: datetime
) -> tuple[Job, bool]:
    """The job that makes a draft, which nobody has signed. Raises CannotReport, TooManyAsked."""
    if not records:
        raise CannotReport("Choose at least one record to report.")
    wish = _wish("draft", report_content(venue, records, at), records, by, meaning)
    return ask_for_job(venue=venue, wish=wish, by=by, at=at)


def ask_for_kind(
    *, wanted: Wanted, query: str, signer: Person, meaning: str, at: datetime
) -> tuple[Job, bool]:
    """The same for a report of a kind. `query`: what was chosen, to come back to its page. Raises
    what `ask_for_report` raises."""
    signing = sign_kind(wanted=wanted, signer=signer, meaning=meaning, at=at)
    wish = _wish("report", signing.content, signing.records, signer, meaning)
    return ask_for_job(venue=signing.venue, wish=_of_kind(wish, wanted, query), by=signer, at=at)


def ask_for_kind_draft(
    *, wanted: Wanted, query: str, by: Person, meaning: str, at: datetime
) -> tuple[Job, bool]:
    """The job that makes a draft of a report of a kind. Raises TooManyAsked."""
    content, told = draft_of_kind(wanted=wanted, at=at)
    wish = _wish("draft", content, told.records, by, meaning)
    return ask_for_job(venue=wanted.chosen.venue, wish=_of_kind(wish, wanted, query), by=by, at=at)


def _of_kind(wish: Wish, wanted: Wanted, query: str) -> Wish:
    """Two kinds of the same records, and two ropes of one record, are two wishes."""
    slug = wanted.kind.slug
    same = hashlib.sha256(f"{wish.key} {slug} {query}".encode()).hexdigest()
    back = {"kind": slug, "query": query, "stated": dict(wanted.stated)}
    return replace(
        wish,
        key=f"{slug}:{wish.key.split(':')[0]}:{same}",
        asked=wish.asked | back,
        said=wish.said | {"kind": slug},
    )


def _wish(what: str, content: Report, records: Sequence[Record], by: Person, meaning: str) -> Wish:
    names = sorted(str(record.pk) for record in records)
    same = hashlib.sha256(" ".join(names).encode()).hexdigest()
    said = {"records": names, "meaning": meaning}
    asked = {**said, "title": content.title, "day": content.examined_on, "content": asdict(content)}
    said["content_sha256"] = sha256_of(canonical(content.to_dict()))
    return Wish(Job.Kind.REPORT, f"{what}:{by.pk}:{same}", asked, f"ask_for_{what}", said)
