"""What is looked at and proven. Evidence (records, findings, orders, reports) is only inserted."""

from inspections.models.audit_question import AuditAnswer, AuditQuestion
from inspections.models.check_file import CheckFile
from inspections.models.countersignature import Countersignature
from inspections.models.desk_link import DeskLink
from inspections.models.desk_mail import DeskMail
from inspections.models.draft import Draft, DraftPhoto
from inspections.models.finding import (
    AuthorityNotice,
    Finding,
    Order,
    Remedy,
    RemedyFile,
    ReturnToService,
)
from inspections.models.head import HeadReceiver, HeadSent, SignedHead
from inspections.models.job import Job, JobRun
from inspections.models.last_visit import LastVisit
from inspections.models.message import Message, MessageChoice
from inspections.models.phone_signature import PhoneSignature
from inspections.models.plan import HalfOfDay, Plan, RegimeVersion, Task
from inspections.models.planning_settings import (
    Absence,
    ExaminerTrade,
    HoursChoice,
    PlanningSettings,
    SetUpPrice,
    WorkingWeek,
)
from inspections.models.push_device import PushDevice
from inspections.models.record import (
    Answer,
    AnswerPhoto,
    Judged,
    Reading,
    Record,
    RecordNote,
)
from inspections.models.report import Report, ReportRecord
from inspections.models.retention import Disposal, LegalHold, RetentionChoice
from inspections.models.seal import SealCertificate, SealRevoked
from inspections.models.sent import KeptAside, Sent, SentPhotograph
from inspections.models.task_feed import FeedEntry, TaskFeed
from inspections.models.year_plan import PlannedMove, PlannedPerson, PlannedTask, YearPlan

__all__ = [
    "Absence",
    "Answer",
    "AnswerPhoto",
    "AuditAnswer",
    "AuditQuestion",
    "AuthorityNotice",
    "CheckFile",
    "Countersignature",
    "DeskLink",
    "DeskMail",
    "Disposal",
    "Draft",
    "DraftPhoto",
    "ExaminerTrade",
    "FeedEntry",
    "Finding",
    "HalfOfDay",
    "HeadReceiver",
    "HeadSent",
    "HoursChoice",
    "Job",
    "JobRun",
    "Judged",
    "KeptAside",
    "LastVisit",
    "LegalHold",
    "Message",
    "MessageChoice",
    "Order",
    "PhoneSignature",
    "Plan",
    "PlannedMove",
    "PlannedPerson",
    "PlannedTask",
    "PlanningSettings",
    "PushDevice",
    "Reading",
    "Record",
    "RecordNote",
    "RegimeVersion",
    "Remedy",
    "RemedyFile",
    "Report",
    "ReportRecord",
    "RetentionChoice",
    "ReturnToService",
    "SealCertificate",
    "SealRevoked",
    "Sent",
    "SentPhotograph",
    "SetUpPrice",
    "SignedHead",
    "Task",
    "TaskFeed",
    "WorkingWeek",
    "YearPlan",
]
