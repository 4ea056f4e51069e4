"""Ask the house, and answer for it. Both are evidence: kept as they were said, told of in the log."""

from __future__ import annotations

from datetime import datetime

from django.db import models, transaction
from django_q.tasks import async_task

from inspections.actions.mail_to_desk import owe_mail, owe_mail_to_managers
from inspections.models import AuditAnswer, AuditQuestion, DeskMail
from inspections.models.audit_question import ABOUT
from venue.actions.log import write_line
from venue.models import Person, Venue

SEND = "inspections.jobs.send_owed_mails"
LONGEST = 4000
MOST_OPEN = 40  # of one person: each of them is a mail to every manager


class NothingSaid(ValueError):
    """A question and an answer need words."""


class TooManyOpen(ValueError):
    """They wait for answers to many questions already."""


def ask_question(
    *, venue: Venue, about: dict[str, models.Model], text: str, by: Person, at: datetime
) -> AuditQuestion:
    """`about`: what of the venue it is about, by its kind (record, report, finding, task); none of
    them is the house. The one there is, where the very same was asked and waits. Raises NothingSaid, TooManyOpen."""
    words = _words(text, "Write what you ask.")
    with transaction.atomic():
        Venue.objects.select_for_update(no_key=True).get(
            pk=venue.pk
        )  # a form sent twice: one waits
        same = AuditQuestion.objects.in_venue(venue).filter(by=by, text=words, answers=None)
        if asked := same.filter(**{kind: about.get(kind) for kind in ABOUT}).first():
            return asked
        _refuse_too_many(venue, by)
        question = AuditQuestion.objects.create(venue=venue, text=words, by=by, at=at, **about)
        after = {"about": question.about, "text": words}
        write_line(venue=venue, by=by, at=at, did="ask_question", subject=question, after=after)
        # In the same database: the mail is owed with the rest, or not at all.
        owe_mail_to_managers(venue=venue, kind=DeskMail.Kind.QUESTION, about=question.pk, at=at)
        async_task(SEND, task_name=f"mail of question {question.pk}")
    return question


def answer_question(*, question: AuditQuestion, text: str, by: Person, at: datetime) -> AuditAnswer:
    """One more, where there are others already. Raises NothingSaid."""
    words = _words(text, "Write the answer.")
    with transaction.atomic():
        Venue.objects.select_for_update(no_key=True).get(pk=question.venue_id)
        if said := AuditAnswer.objects.filter(question=question, by=by, text=words).first():
            return said
        answer = AuditAnswer.objects.create(question=question, text=words, by=by, at=at)
        after = {"question": question.pk, "text": words}
        write_line(
            venue=question.venue, by=by, at=at, did="answer_question", subject=answer, after=after
        )
        owe_mail(
            venue=question.venue, kind=DeskMail.Kind.ANSWER, about=answer.pk, person=question.by,
            at=at,
        )  # fmt: skip
        async_task(SEND, task_name=f"mail of answer {answer.pk}")
    return answer


def _refuse_too_many(venue: Venue, by: Person) -> None:
    if AuditQuestion.objects.in_venue(venue).filter(by=by, answers=None).count() >= MOST_OPEN:
        raise TooManyOpen(
            f"{MOST_OPEN} of your questions wait for an answer. Wait for some of them."
        )


def _words(text: str, wanted: str) -> str:
    words = text.replace("\r\n", "\n").strip()
    if not words:
        raise NothingSaid(wanted)
    if len(words) > LONGEST:
        raise NothingSaid(f"{LONGEST} letters at most; this has {len(words)}.")
    return words
