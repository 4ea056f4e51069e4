from __future__ import annotations

from django.urls import path

from inspections.views import evidence, proof

urlpatterns = [
    path("reports/", proof.reports, name="reports"),
    path("reports/root.pem", proof.root_certificate, name="report_root"),
    path("reports/<int:number>/", proof.report, name="report"),
    path("reports/<int:number>/pdf/", proof.report_pdf, name="report_pdf"),
    path("reports/<int:number>/email/", proof.report_email, name="report_email"),
    path("records/<uuid:pk>/report/", proof.report_record, name="report_record"),
    path("days/<str:day>/report/", proof.report_day, name="report_day"),
    path("evidence/", evidence.evidence, name="evidence"),
    path("evidence/<int:pk>/", evidence.evidence_job, name="evidence_job"),
    path("evidence/<int:pk>/bundle.zip", evidence.evidence_download, name="evidence_download"),
]
