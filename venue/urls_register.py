from __future__ import annotations

from django.urls import path

from venue.views.house import house

urlpatterns = [path("", house, name="register")]
