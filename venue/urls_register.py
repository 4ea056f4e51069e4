from __future__ import annotations

from django.urls import path

from venue.views import register

urlpatterns = [
    path("", register.register, name="register"),
    path("try/", register.register_try, name="register_try"),
    path("apply/", register.register_apply, name="register_apply"),
    path("export/", register.register_export, name="register_export"),
    path("template/", register.register_template, name="register_template"),
]
