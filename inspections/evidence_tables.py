"""The tables that hold evidence: rows are added and never changed or deleted. Pure: names only.

Triggers in the database refuse it on both databases (the migrations `..._guards`); a test compares
this list with what the database has. They guard against a slip and against whoever reaches the
database without owning it. Whoever owns it can drop them: what shows a change then is the log.
"""

from __future__ import annotations

from types import MappingProxyType

# Model -> columns that may change, each with the reason.
ONLY_ADDED = MappingProxyType[str, dict[str, str]](
    {
        "venue.LogLine": {},
        "venue.LogCheck": {},
        "venue.KeptFile": {},
        "venue.KeptName": {
            "said": "emptied when a person is forgotten",
            "salt": "emptied with it, so that nobody can try names until one fits",
            "removed_at": "when that was",
        },
        "venue.Competence": {},
        "venue.ListedDay": {},
        "rigging.RopeObserved": {},
        "rigging.CalculationKept": {},
        "rigging.RuleChoice": {"ended_on": "the day on which the choice ends"},
        "rigging.FigureConfirmed": {
            "ended_on": "the day on which the confirmation is taken back",
            "ended_why": "why it is taken back",
        },
        "inspections.RegimeVersion": {},
        "inspections.Record": {},
        "inspections.Answer": {},
        "inspections.AnswerPhoto": {},
        "inspections.Reading": {},
        "inspections.Judged": {},
        "inspections.RecordNote": {},
        "inspections.CheckFile": {},
        "inspections.Finding": {},
        "inspections.Order": {},
        "inspections.Remedy": {},
        "inspections.RemedyFile": {},
        "inspections.ReturnToService": {},
        "inspections.AuthorityNotice": {},
        "inspections.Report": {},
        "inspections.ReportRecord": {},
        "inspections.Countersignature": {},
        "inspections.Sent": {},
        "inspections.SentPhotograph": {},
        "inspections.KeptAside": {},
        "inspections.PhoneSignature": {},
        "inspections.SignedHead": {},
        "inspections.HeadReceiver": {"ended_at": "the time from which it is sent none"},
        "inspections.HeadSent": {},
        "inspections.SealCertificate": {},
        "inspections.SealRevoked": {},
        "inspections.RetentionChoice": {"ended_on": "the day on which the choice ends"},
        "inspections.Disposal": {},
        "inspections.AuditQuestion": {},
        "inspections.AuditAnswer": {},
        "inspections.DeskLink": {
            "address": "emptied when the auditor is forgotten",
            "revoked_by": "who revokes it",
            "revoked_at": "when it is revoked",
        },
        "inspections.LegalHold": {
            "lifted_by": "who lifts it, which is somebody else than who placed it",
            "lifted_at": "when it is lifted",
            "lifted_why": "why it is lifted",
        },
    }
)

# Columns that may be emptied, all of them at once and together with `removed_at`, and never filled again.
ONLY_EMPTIED = MappingProxyType[str, tuple[str, ...]]({"venue.KeptName": ("said", "salt")})

# What evidence leans on: it changes, each change with its line in the log, and is never deleted.
NEVER_DELETED = (
    "venue.Organisation",
    "venue.Venue",
    "venue.LogHead",
    "venue.Person",
    "venue.Membership",
    "venue.Place",
    "venue.Equipment",
    "venue.Part",
    "inspections.Plan",
    "inspections.Task",
)

PREFIX = "evidence_"


def guard_names(
    table: str, *, only_added: bool, truncates: bool, emptied: bool = False
) -> set[str]:
    """The names of a table's triggers; SQLite has no TRUNCATE.

    >>> sorted(guard_names("venue_part", only_added=False, truncates=True))
    ['evidence_venue_part_delete', 'evidence_venue_part_truncate']
    """
    deeds = ["delete", *(["update"] if only_added else []), *(["truncate"] if truncates else [])]
    deeds += ["refill"] if emptied else []
    return {f"{PREFIX}{table}_{deed}" for deed in deeds}
