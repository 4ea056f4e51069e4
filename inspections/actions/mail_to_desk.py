"""Tell by mail: the house that it was asked, whoever asked that there is an answer, and whoever asked
for a bundle that it is ready. The pages say the same; a mail that cannot be sent hides nothing."""

from __future__ import annotations

import logging
from collections.abc import Iterable
from datetime import datetime

from django.conf import settings
from django.core.mail import EmailMessage
from django.urls import reverse

from inspections.models import AuditAnswer, AuditQuestion, Job
from inspections.queries.desk_links import address_for, running_link_of
from venue.models import Membership, Person, Role, Venue

log = logging.getLogger(__name__)


def mail_question(*, question: AuditQuestion) -> int:
    """To the managers of the house. Returns to how many it was sent."""
    venue = question.venue
    managers = Membership.objects.filter(venue=venue, role=Role.MANAGER, ended_on=None)
    words = (
        f"{question.by.name} asks about {question.about}:\n\n{question.text}\n\n"
        f"Answer it here: {_page('audit_question', venue, question.pk)}\n\n"
        "Question and answer stay in the log and in the bundles of evidence.\n"
    )
    to = managers.order_by("pk").values_list("person__email", flat=True)
    return _send(f"{venue.name}: question {question.pk} of an auditor", words, to)


def mail_answer(*, answer: AuditAnswer, at: datetime) -> int:
    """To whoever asked, while they may still look."""
    question = answer.question
    words = (
        f"You asked about {question.about}:\n\n{question.text}\n\n"
        f"{answer.by.name} answers:\n\n{answer.text}\n\n"
        f"{_page('audit_question', question.venue, question.pk)}\n{_way_in(question.by, at)}"
    )
    subject = f"{question.venue.name}: your question {question.pk} is answered"
    return _send(subject, words, _reached(question.by, question.venue, at))


def mail_bundle_ready(*, job: Job, at: datetime) -> int:
    """To whoever asked for it, while they may still look."""
    days = f"{job.asked['start']} to {job.asked['end']}"
    words = (
        f"The evidence bundle of {job.venue.name}, {days}, is ready and can be downloaded until "
        f"{datetime.fromisoformat(job.result['kept_until']).astimezone(job.venue.zone):%-d %B %Y %H:%M}:\n\n"
        f"{_page('evidence_job', job.venue, job.pk)}\n\n"
        f"SHA-256 of the file: {job.result['sha256']}\n{_way_in(job.by, at)}"
    )
    subject = f"{job.venue.name}: your evidence bundle is ready"
    return _send(subject, words, _reached(job.by, job.venue, at))


def _page(name: str, venue: Venue, pk: int) -> str:
    return settings.LOFTBOOK_ADDRESS + reverse(name, args=[venue.slug, pk])


def _way_in(person: Person, at: datetime) -> str:
    link = running_link_of(person, at)
    if link is None:
        return ""
    return (
        f"\nOpen your link to the audit desk first; it is good until {link.last_day:%-d %B %Y}.\n"
    )


def _reached(person: Person, venue: Venue, at: datetime) -> list[str]:
    """The address of somebody who has a role here; of a link, only until it ends."""
    if not Membership.objects.filter(person=person, venue=venue, ended_on=None).exists():
        return []
    return [each for each in [address_for(person, at)] if each]


def _send(subject: str, words: str, to: Iterable[str]) -> int:
    sent = 0
    for address in to:
        try:
            EmailMessage(" ".join(subject.split()), words, to=[address]).send()
            sent += 1
        except OSError:
            log.exception("a mail could not be sent: %s", subject)
    return sent
