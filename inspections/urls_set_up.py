"""The steps of the first hour that are pages of their own."""

from __future__ import annotations

from django.urls import path

from inspections.views import set_up, set_up_choices

urlpatterns = [
    path("", set_up.steps, name="set_up"),
    path("end/", set_up.end, name="end_set_up"),
    path("house/", set_up.house, name="set_up_house"),
    path("rules/", set_up_choices.rules, name="set_up_rules"),
    path("regimes/", set_up_choices.regimes, name="set_up_regimes"),
    path("calendar/", set_up.calendar, name="set_up_calendar"),
    path("tags/", set_up.tags, name="set_up_tags"),
    path("phone/", set_up.phone, name="set_up_phone"),
    path("<slug:step>/said/", set_up.say, name="say_of_step"),
]
