"""What belongs to an evidence bundle: every class of evidence, by local days, both included."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet

from inspections.models import (
    Answer,
    AnswerPhoto,
    CheckFile,
    Countersignature,
    Disposal,
    Finding,
    Judged,
    KeptAside,
    Order,
    PhoneSignature,
    Plan,
    Reading,
    Record,
    RegimeVersion,
    Remedy,
    RemedyFile,
    Report,
    ReturnToService,
    SignedHead,
    Task,
)
from inspections.queries.isolation_rows import count_all_isolations, count_isolations
from inspections.queries.question_rows import answers_to_auditors, auditors_questions
from inspections.queries.retired_part_rows import retired_parts
from rigging.models import RuleChoice
from venue.models import Competence, KeptFile, KeptName, LogLine, Part, Venue

AT_ONCE = 200  # reports in memory: each is some hundred kilobytes


@dataclass(frozen=True)
class Span:
    """Local days of a venue, first and last included. `log_size`: the log as far as it is told."""

    venue: Venue
    start: date
    end: date
    log_size: int = 0

    @property
    def begins(self) -> datetime:
        return datetime.combine(self.start, time.min, tzinfo=self.venue.zone)

    @property
    def ends(self) -> datetime:
        """The first instant that is no longer part of it."""
        return datetime.combine(self.end + timedelta(days=1), time.min, tzinfo=self.venue.zone)


def records(span: Span) -> QuerySet[Record]:
    rows = Record.objects.in_venue(span.venue).filter(done_on__range=(span.start, span.end))
    return rows.order_by("done_on", "at", "pk")


def tasks(span: Span) -> QuerySet[Task]:
    """Due or done in these days; and older ones that were still open, or were done only later."""
    due = Q(due_on__range=(span.start, span.end))
    done = Q(done_on__range=(span.start, span.end))
    outstanding = Q(due_on__lt=span.start) & (Q(state="open") | Q(done_on__gt=span.end))
    rows = Task.objects.in_venue(span.venue).filter(due | done | outstanding)
    return rows.order_by("due_on", "pk")


def answers(span: Span) -> QuerySet[Answer]:
    rows = Answer.objects.in_venue(span.venue)
    return rows.filter(record__done_on__range=(span.start, span.end)).order_by("pk")


def signatures(span: Span) -> QuerySet[PhoneSignature]:
    rows = PhoneSignature.objects.in_venue(span.venue)
    return rows.filter(sent__record__done_on__range=(span.start, span.end)).order_by("pk")


def readings(span: Span) -> QuerySet[Reading]:
    rows = Reading.objects.in_venue(span.venue)
    return rows.filter(answer__record__done_on__range=(span.start, span.end)).order_by("pk")


def judgements(span: Span) -> QuerySet[Judged]:
    rows = Judged.objects.in_venue(span.venue)
    return rows.filter(answer__record__done_on__range=(span.start, span.end)).order_by("pk")


def findings(span: Span) -> QuerySet[Finding]:
    """Found in these days, or found before with an order still in force when they begin."""
    standing = orders(span).filter(finding=OuterRef("pk"))
    found = Q(at__gte=span.begins) | Exists(standing) | Q(record__in=_records(span))
    unordered = Q(orders=None) & (Q(remedies=None) | Q(remedies__at__gte=span.begins))
    rows = Finding.objects.in_venue(span.venue).filter(at__lt=span.ends)
    return rows.filter(found | unordered).distinct().order_by("at", "pk")


def orders(span: Span) -> QuerySet[Order]:
    """Given in these days, or given before and not yet lifted when they begin."""
    rows = Order.objects.in_venue(span.venue).filter(at__lt=span.ends)
    in_force = Q(returned=None) | Q(returned__at__gte=span.begins)
    return rows.filter(Q(at__gte=span.begins) | in_force).order_by("at", "pk")


def remedies(span: Span) -> QuerySet[Remedy]:
    """Of these days, and every one of a finding that is told of."""
    of_these_days = Q(at__gte=span.begins, at__lt=span.ends)
    of_findings = Q(finding__in=findings(span).values("pk"))
    rows = Remedy.objects.in_venue(span.venue).filter(of_these_days | of_findings)
    return rows.order_by("at", "pk")


def returns(span: Span) -> QuerySet[ReturnToService]:
    rows = ReturnToService.objects.in_venue(span.venue)
    return rows.filter(order__in=orders(span).values("pk")).order_by("at", "pk")


def reports(span: Span) -> QuerySet[Report]:
    """Signed in these days, or telling of a record of these days."""
    signed = Q(at__gte=span.begins, at__lt=span.ends)
    tells = Q(examined_on__range=(span.start, span.end))
    return Report.objects.in_venue(span.venue).filter(signed | tells).order_by("number")


def countersignatures(span: Span) -> QuerySet[Countersignature]:
    """Of the reports that are told of, and every one that was given in these days."""
    told = Q(report__in=reports(span).order_by().values("pk"))
    given = Q(at__gte=span.begins, at__lt=span.ends)
    rows = Countersignature.objects.in_venue(span.venue).filter(told | given)
    return rows.order_by("report__number", "number")


def answer_photographs(span: Span) -> QuerySet[AnswerPhoto]:
    rows = AnswerPhoto.objects.in_venue(span.venue)
    return rows.filter(answer__record__done_on__range=(span.start, span.end)).order_by("pk")


def remedy_photographs(span: Span) -> QuerySet[RemedyFile]:
    rows = RemedyFile.objects.in_venue(span.venue)
    return rows.filter(remedy__in=remedies(span).values("pk")).order_by("pk")


def photograph_files(span: Span) -> QuerySet[KeptFile]:
    """Each picture or document once, however many answers and remedies show it."""
    answered = answer_photographs(span).order_by().values("kept_file_id")
    remedied = remedy_photographs(span).order_by().values("kept_file_id")
    rows = KeptFile.objects.in_venue(span.venue)
    return rows.filter(Q(pk__in=answered) | Q(pk__in=remedied)).order_by("pk")


def check_files(span: Span) -> QuerySet[CheckFile]:
    """Voice notes and drawn signatures of the records of these days, by whoever made them."""
    rows = CheckFile.objects.in_venue(span.venue)
    made = records(span).order_by().filter(pk=OuterRef("check_id"), by=OuterRef("by"))
    return rows.filter(Exists(made)).order_by("pk")


def kept_aside(span: Span) -> QuerySet[KeptAside]:
    """Messages that arrived in these days and that nothing could be made of."""
    rows = KeptAside.objects.in_venue(span.venue)
    return rows.filter(received_at__gte=span.begins, received_at__lt=span.ends).order_by("pk")


def log_lines(span: Span) -> QuerySet[LogLine]:
    """The whole log up to `log_size`: only from its first line on can the chain be checked."""
    return LogLine.objects.in_venue(span.venue).filter(number__lte=span.log_size).order_by("number")


def disposed_words(venue: Venue, sha256: str) -> str:
    """When and why this house disposed of the bytes of a file; nothing where it did not, or where it
    keeps them under another name."""
    named = Q(sha256=sha256) | Q(shown_sha256=sha256)
    files = KeptFile.objects.in_venue(venue).filter(named)
    rows = Disposal.objects.in_venue(venue).filter(kept_file__in=files)
    row = rows.first()
    if row is None or files.exclude(pk__in=rows.values("kept_file")).exists():
        return ""
    return f"disposed of on {row.at:%Y-%m-%d}, kept until {row.kept_until} by {row.rule}"


def kept_names(span: Span) -> QuerySet[KeptName]:
    """What the references of the log stand for; asked after the log, so that none is missing."""
    return KeptName.objects.in_venue(span.venue).order_by("reference")


def signed_heads(last: SignedHead) -> QuerySet[SignedHead]:
    """Up to that one, in their order."""
    return SignedHead.objects.filter(venue=last.venue_id, number__lte=last.number).order_by(
        "number"
    )


def regime_versions(span: Span) -> QuerySet[RegimeVersion]:
    """What the records of these days were asked by, and what the plans of the house follow."""
    used = records(span).order_by().values("version_id")
    planned = Plan.objects.in_venue(span.venue).order_by().values("version_id")
    return RegimeVersion.objects.filter(Q(pk__in=used) | Q(pk__in=planned)).order_by("slug", "pk")


def rule_choices(span: Span) -> QuerySet[RuleChoice]:
    return RuleChoice.objects.in_venue(span.venue).filter(since__lte=span.end).order_by("pk")


def rule_sets_used(span: Span) -> list[tuple[str, str]]:
    """Slug and hash of every rule set that judged in these days or was in force in the house."""
    judged = judgements(span).order_by().exclude(ruleset_hash="")
    used = set(judged.values_list("ruleset", "ruleset_hash").distinct())
    used |= set(rule_choices(span).values_list("ruleset", "ruleset_hash"))
    return sorted(used)


def report_kinds_used(span: Span) -> list[tuple[str, str]]:
    """Slug and hash of the file of each kind of report that was issued; reports of single checks and
    of days have none."""
    rows = reports(span).exclude(what__in=("check", "day")).values_list("record_json", flat=True)
    told = (json.loads(text).get("matter") for text in rows.iterator(chunk_size=AT_ONCE))
    return sorted({(each["kind"], each["kind_sha256"]) for each in told if each})


def competences(span: Span) -> QuerySet[Competence]:
    """All that were ever written down, whatever the days: also those that had lapsed by then."""
    return Competence.objects.in_venue(span.venue).order_by("pk")


CLASSES = {
    "competences": competences,
    "retired_parts": retired_parts,
    "tasks": tasks,
    "records": records,
    "signatures": signatures,
    "answers": answers,
    "readings": readings,
    "judgements": judgements,
    "findings": findings,
    "orders": orders,
    "remedies": remedies,
    "returns": returns,
    "reports": reports,
    "countersignatures": countersignatures,
    "photographs_and_documents": photograph_files,
    "voice_notes_and_drawn_signatures": check_files,
    "messages_kept_aside": kept_aside,
    "auditors_questions": auditors_questions,
    "answers_to_auditors": answers_to_auditors,
}


def counts_in(span: Span) -> dict[str, int]:
    """How many of each class belong to these days."""
    counts = {name: rows(span).count() for name, rows in CLASSES.items()}
    return counts | {"isolations": count_isolations(span)}


def counts_in_all(venue: Venue) -> dict[str, int]:
    """How many of each class the whole book holds, so that no choice of days hides any."""
    day = date(2000, 1, 1)  # any day: only the kind of row is asked of the query
    kinds: dict[str, Any] = {
        name: rows(Span(venue, day, day)).model for name, rows in CLASSES.items()
    }
    counts = {name: kind.objects.in_venue(venue).count() for name, kind in kinds.items()}
    # Reports, voice notes and drawn signatures are files too, and have lines of their own.
    pictures = _kept(venue).filter(what__in=("photograph", "document"))
    pictures_and_log = {
        "photographs_and_documents": pictures.count(), "isolations": count_all_isolations(venue),
    }  # fmt: skip
    left = Part.objects.in_venue(venue).filter(retired_on__isnull=False).count()
    return counts | pictures_and_log | {"retired_parts": left}


def _kept(venue: Venue) -> QuerySet[KeptFile]:
    return KeptFile.objects.in_venue(venue)


def _records(span: Span) -> QuerySet:
    return records(span).order_by().values("pk")
