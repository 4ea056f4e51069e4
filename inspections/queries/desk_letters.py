"""What the mails about the auditor's desk say, when they are sent; none where nobody is to be told any
more. The pages say the same; a mail that cannot be sent hides nothing."""

from __future__ import annotations

from datetime import datetime

from django.conf import settings
from django.urls import reverse
from django.utils.translation import gettext as _

from inspections.models import AuditAnswer, AuditQuestion, DeskLink, DeskMail, Job
from inspections.queries.desk_links import address_for, running_link_of
from inspections.sealed_text import open_text
from venue.language_now import for_reader, said
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
    names = {"manager": link.made_by.name, "venue": link.venue.name, "person": link.person.name}
    with for_reader(link.person, link.venue):
        words = _paragraphs(
            _(
                "%(manager)s of %(venue)s lets you, %(person)s, look at what the house inspected, until "
                "%(day)s (that day included):"
            ) % (names | {"day": said(f"{link.last_day:%-d %B %Y}")}),
            address_of_link(token),
            _(
                "Whoever has this link sees what you see, so keep it to yourself. It shows and asks, and "
                "changes nothing; each time it is opened, the house's log says so. If it came to you by "
                "mistake, tell %(manager)s, who can revoke it at once."
            ) % names,
        )  # fmt: skip
        return Letter(link.address, _("%(venue)s: your way to the audit desk") % names, words)


def _of_link(row: DeskMail, at: datetime) -> Letter | None:
    links = DeskLink.objects.select_related("venue", "membership__person", "made_by")
    link = links.get(pk=row.about)
    if link.standing(at) != "running" or not link.address:
        return None
    return link_letter(link, open_text(row.sealed, secret_of_server()))


def _of_question(row: DeskMail, at: datetime) -> Letter | None:
    question = AuditQuestion.objects.get(pk=row.about)
    with for_reader(row.person, row.venue):
        words = _paragraphs(
            _("%(person)s asks about %(thing)s:")
            % {"person": question.by.name, "thing": said(question.about)},
            question.text,
            _("Answer it here: %(address)s")
            % {"address": _page("audit_question", row.venue, question.pk)},
            _("Question and answer stay in the log and in the bundles of evidence."),
        )
        subject = _("%(venue)s: question %(number)s of an auditor")
        return _to(row, subject % {"venue": row.venue.name, "number": question.pk}, words, at)


def _of_answer(row: DeskMail, at: datetime) -> Letter | None:
    """To whoever asked, while they may still look."""
    answer = AuditAnswer.objects.select_related("question").get(pk=row.about)
    question = answer.question
    with for_reader(row.person, row.venue):
        words = _paragraphs(
            _("You asked about %(thing)s:") % {"thing": said(question.about)},
            question.text,
            _("%(person)s answers:") % {"person": answer.by.name},
            answer.text,
            _page("audit_question", row.venue, question.pk),
            _way_in(row.person, at),
        )
        subject = _("%(venue)s: your question %(number)s is answered")
        return _to(row, subject % {"venue": row.venue.name, "number": question.pk}, words, at)


def _of_bundle(row: DeskMail, at: datetime) -> Letter | None:
    """To whoever asked for it, while they may still look and it is still there."""
    job = Job.objects.filter(pk=row.about).first()
    until = datetime.fromisoformat(job.result["kept_until"]) if job else at
    if job is None or until <= at:
        return None
    names = {"venue": row.venue.name, "first": job.asked["start"], "last": job.asked["end"]}
    with for_reader(row.person, row.venue):
        names["until"] = said(f"{until.astimezone(row.venue.zone):%-d %B %Y %H:%M}")
        words = _paragraphs(
            _(
                "The evidence bundle of %(venue)s, %(first)s to %(last)s, is ready and can be downloaded "
                "until %(until)s:"
            ) % names,
            _page("evidence_job", row.venue, job.pk),
            _("SHA-256 of the file: %(sha256)s") % {"sha256": job.result["sha256"]},
            _way_in(row.person, at),
        )  # fmt: skip
        return _to(row, _("%(venue)s: your evidence bundle is ready") % names, words, at)


def _paragraphs(*texts: str) -> str:
    return "\n\n".join(text for text in texts if text) + "\n"


def _page(name: str, venue: Venue, pk: int) -> str:
    return settings.LOFTBOOK_ADDRESS + reverse(name, args=[venue.slug, pk])


def _way_in(person: Person, at: datetime) -> str:
    link = running_link_of(person, at)
    if link is None:
        return ""
    day = said(f"{link.last_day:%-d %B %Y}")
    return _("Open your link to the audit desk first; it is good until %(day)s.") % {"day": day}


def _to(row: DeskMail, subject: str, words: str, at: datetime) -> Letter | None:
    """At the address of somebody who has a role here; of a link, only until it ends."""
    if not Membership.objects.filter(person=row.person, venue=row.venue, ended_on=None).exists():
        return None
    address = address_for(row.person, at)
    return Letter(address, subject, words) if address else None
