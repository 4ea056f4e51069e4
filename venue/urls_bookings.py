from __future__ import annotations

from django.urls import path

from venue.views import booking_rules as rules
from venue.views import bookings, calendars

urlpatterns = [
    path("", bookings.bookings, name="bookings"),
    path("add/", bookings.add_booking, name="add_booking"),
    path("leave/", rules.what_kinds_leave, name="what_kinds_leave"),
    path("known/", rules.calendar_known, name="calendar_known"),
    path("calendars/", calendars.calendars, name="calendars"),
    path("calendars/add/", calendars.add_calendar, name="add_calendar"),
    path("calendars/<int:pk>/", calendars.change_calendar, name="change_calendar"),
    path("calendars/<int:pk>/end/", calendars.end_calendar, name="end_calendar"),
    path("calendars/<int:pk>/try/", calendars.calendar_try, name="calendar_try"),
    path("calendars/<int:pk>/fetch/", calendars.calendar_fetch, name="calendar_fetch"),
    path("calendars/<int:pk>/apply/", calendars.calendar_apply, name="calendar_apply"),
    path("rules/", rules.booking_rules, name="booking_rules"),
    path("rules/usual/", rules.starting_rules, name="starting_rules"),
    path("rules/add/", rules.add_rule, name="add_booking_rule"),
    path("rules/<int:pk>/", rules.change_rule, name="change_booking_rule"),
    path("rules/<int:pk>/move/", rules.move_rule, name="move_booking_rule"),
    path("rules/<int:pk>/remove/", rules.remove_rule, name="remove_booking_rule"),
    path("unknown/", rules.unknown_bookings, name="unknown_bookings"),
    path("unknown/<int:pk>/", rules.answer, name="answer_unknown"),
]
