from __future__ import annotations

from django.urls import path

from inspections.views import (
    audit,
    countersigning,
    desk_links,
    evidence,
    forgetting,
    heads,
    proof,
    report_kinds,
    report_signing,
    retention,
    seals,
)

urlpatterns = [
    path("people/left/", forgetting.people_left, name="people_left"),
    path("people/left/<int:pk>/", forgetting.forget, name="forget_person"),
    path("retention/", retention.retention, name="retention"),
    path("retention/follow/", retention.follow, name="follow_retention"),
    path("retention/<int:pk>/end/", retention.end, name="end_retention"),
    path("retention/records/<uuid:pk>/", retention.dispose, name="dispose_photographs"),
    path("retention/hold/", retention.hold, name="hold_records"),
    path("retention/holds/<int:pk>/lift/", retention.lift, name="lift_hold"),
    path("log/heads/", heads.heads, name="heads"),
    path("log/heads/receivers/", heads.add_receiver, name="add_head_receiver"),
    path("log/heads/receivers/<int:pk>/end/", heads.end_receiver, name="end_head_receiver"),
    path("seals/", seals.seals, name="seals"),
    path("seals/new/", seals.renew, name="renew_seal"),
    path("seals/<int:number>/revoke/", seals.revoke, name="revoke_seal"),
    path("reports/", proof.reports, name="reports"),
    path("reports/new/", report_kinds.new_report, name="new_report"),
    path("reports/new/<slug:kind>/", report_kinds.report_kind, name="report_kind"),
    path("reports/root.pem", proof.root_certificate, name="report_root"),
    path("reports/<int:number>/", proof.report, name="report"),
    path("reports/<int:number>/pdf/", proof.report_pdf, name="report_pdf"),
    path("reports/<int:number>/email/", proof.report_email, name="report_email"),
    path(
        "reports/<int:number>/countersign/", countersigning.countersign, name="countersign_report"
    ),
    path("reports/asked/<int:pk>/", report_signing.report_job, name="report_job"),
    path("reports/asked/<int:pk>/draft.pdf", report_signing.report_draft, name="report_draft"),
    path("records/<uuid:pk>/report/", report_signing.report_record, name="report_record"),
    path("days/<str:day>/report/", report_signing.report_day, name="report_day"),
    path("audit/", audit.audit, name="audit"),
    path("audit/sample/", audit.sample, name="audit_sample"),
    path("audit/links/", desk_links.desk_links, name="desk_links"),
    path("audit/links/<int:pk>/revoke/", desk_links.revoke, name="revoke_desk_link"),
    path("evidence/", evidence.evidence, name="evidence"),
    path("evidence/<int:pk>/", evidence.evidence_job, name="evidence_job"),
    path("evidence/<int:pk>/bundle.zip", evidence.evidence_download, name="evidence_download"),
]
