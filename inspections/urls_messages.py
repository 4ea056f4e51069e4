from __future__ import annotations

from django.urls import path

from inspections.views import message_choices as choices

urlpatterns = [
    path("messages/stop/<str:token>/", choices.stop_messages, name="stop_messages"),
    path("v/<slug:slug>/messages/", choices.message_choices, name="message_choices"),
]
