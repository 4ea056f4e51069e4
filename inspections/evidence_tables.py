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
        "venue.Competence": {},
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
    }
)

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


def guard_names(table: str, *, only_added: bool, truncates: bool) -> set[str]:
    """The names of a table's triggers; SQLite has no TRUNCATE.

    >>> sorted(guard_names("venue_part", only_added=False, truncates=True))
    ['evidence_venue_part_delete', 'evidence_venue_part_truncate']
    """
    deeds = ["delete", *(["update"] if only_added else []), *(["truncate"] if truncates else [])]
    return {f"{PREFIX}{table}_{deed}" for deed in deeds}
