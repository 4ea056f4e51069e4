"""What the mails about the auditor's desk say, when they are sent; none where nobody is to be told any
more. The pages say the same; a mail that cannot be sent hides nothing."""

from __future__ import annotations

from datetime import datetime

from django.conf import settings
from django.urls import reverse

from inspections.models import AuditAnswer, AuditQuestion, DeskLink, DeskMail, Job
from inspections.queries.desk_links import address_for, running_link_of
from inspections.sealed_text import open_text
from venue.letter import Letter
from venue.models import Membership, Person, Venue


def letter_of(row: DeskMail, at: datetime) -> Letter | None:
    """Raises CannotOpen."""
    about = {
        DeskMail.Kind.QUESTION: _of_question, DeskMail.Kind.ANSWER: _of_answer,
        DeskMail.Kind.BUNDLE: _of_bundle, DeskMail.Kind.LINK: _of_link,
    }  # fmt: skip
    return about[DeskMail.Kind(row.kind)](row, at)


def secret_of_server() -> str:
    return settings.LOFTBOOK_KEY_SECRET or settings.SECRET_KEY


def address_of_link(token: str) -> str:
    return settings.LOFTBOOK_ADDRESS + reverse("open_desk_link", args=[token])


def link_letter(link: DeskLink, token: str) -> Letter:
    words = (
        f"{link.made_by.name} of {link.venue.name} lets you, {link.person.name}, look at what the house "
        f"inspected, until {link.last_day:%-d %B %Y} (that day included):\n\n"
        f"{address_of_link(token)}\n\n"
        "Whoever has this link sees what you see, so keep it to yourself. It shows and asks, and changes "
        "nothing; each time it is opened, the house's log says so. If it came to you by mistake, tell "
        f"{link.made_by.name}, who can revoke it at once.\n"
    )
    return Letter(link.address, f"{link.venue.name}: your way to the audit desk", words)


def _of_link(row: DeskMail, at: datetime) -> Letter | None:
    links = DeskLink.objects.select_related("venue", "membership__person", "made_by")
    link = links.get(pk=row.about)
    if link.standing(at) != "running" or not link.address:
        return None
    return link_letter(link, open_text(row.sealed, secret_of_server()))


def _of_question(row: DeskMail, at: datetime) -> Letter | None:
    question = AuditQuestion.objects.get(pk=row.about)
    words = (
        f"{question.by.name} asks about {question.about}:\n\n{question.text}\n\n"
        f"Answer it here: {_page('audit_question', row.venue, question.pk)}\n\n"
        "Question and answer stay in the log and in the bundles of evidence.\n"
    )
    return _to(row, f"{row.venue.name}: question {question.pk} of an auditor", words, at)


def _of_answer(row: DeskMail, at: datetime) -> Letter | None:
    """To whoever asked, while they may still look."""
    answer = AuditAnswer.objects.select_related("question").get(pk=row.about)
    question = answer.question
    words = (
        f"You asked about {question.about}:\n\n{question.text}\n\n"
        f"{answer.by.name} answers:\n\n{answer.text}\n\n"
        f"{_page('audit_question', row.venue, question.pk)}\n{_way_in(row.person, at)}"
    )
    return _to(row, f"{row.venue.name}: your question {question.pk} is answered", words, at)


def _of_bundle(row: DeskMail, at: datetime) -> Letter | None:
    """To whoever asked for it, while they may still look and it is still there."""
    job = Job.objects.filter(pk=row.about).first()
    until = datetime.fromisoformat(job.result["kept_until"]) if job else at
    if job is None or until <= at:
        return None
    words = (
        f"The evidence bundle of {row.venue.name}, {job.asked['start']} to {job.asked['end']}, is "
        f"ready and can be downloaded until {until.astimezone(row.venue.zone):%-d %B %Y %H:%M}:\n\n"
        f"{_page('evidence_job', row.venue, job.pk)}\n\n"
        f"SHA-256 of the file: {job.result['sha256']}\n{_way_in(row.person, at)}"
    )
    return _to(row, f"{row.venue.name}: your evidence bundle is ready", words, at)


def _page(name: str, venue: Venue, pk: int) -> str:
    return settings.LOFTBOOK_ADDRESS + reverse(name, args=[venue.slug, pk])


def _way_in(person: Person, at: datetime) -> str:
    link = running_link_of(person, at)
    if link is None:
        return ""
    return (
        f"\nOpen your link to the audit desk first; it is good until {link.last_day:%-d %B %Y}.\n"
    )


def _to(row: DeskMail, subject: str, words: str, at: datetime) -> Letter | None:
    """At the address of somebody who has a role here; of a link, only until it ends."""
    if not Membership.objects.filter(person=row.person, venue=row.venue, ended_on=None).exists():
        return None
    address = address_for(row.person, at)
    return Letter(address, subject, words) if address else None
