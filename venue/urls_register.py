from __future__ import annotations

from django.urls import path

from venue.views import register, spreadsheet

urlpatterns = [
    path("", register.register, name="register"),
    path("try/", register.register_try, name="register_try"),
    path("apply/", register.register_apply, name="register_apply"),
    path("export/", register.register_export, name="register_export"),
    path("template/", register.register_template, name="register_template"),
    path("spreadsheet/", spreadsheet.spreadsheet, name="spreadsheet"),
    path("spreadsheet/send/", spreadsheet.send, name="send_spreadsheet"),
    path("spreadsheet/say/", spreadsheet.say, name="say_of_spreadsheet"),
    path("spreadsheet/read-in/", spreadsheet.read_in, name="read_in_spreadsheet"),
    path("spreadsheet/drop/", spreadsheet.drop, name="drop_spreadsheet"),
]
