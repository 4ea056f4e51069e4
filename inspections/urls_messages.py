from __future__ import annotations

from django.urls import path

from inspections.views import message_choices as choices
from inspections.views import push_devices as devices

urlpatterns = [
    path("messages/stop/<str:token>/", choices.stop_messages, name="stop_messages"),
    path("v/<slug:slug>/messages/", choices.message_choices, name="message_choices"),
    path("v/<slug:slug>/messages/now/<str:which>/", devices.message_now, name="message_now"),
    path("v/<slug:slug>/messages/devices/", devices.allow_device, name="allow_device"),
    path("v/<slug:slug>/messages/devices/none/", devices.remove_devices, name="remove_devices"),
    path("v/<slug:slug>/messages/devices/<int:pk>/", devices.remove_device, name="remove_device"),
]
