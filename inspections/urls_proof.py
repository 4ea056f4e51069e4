from __future__ import annotations

from django.urls import path

from inspections.views.overview import overview

urlpatterns = [
    path("reports/", overview, name="reports"),
    path("evidence/", overview, name="evidence"),
]
