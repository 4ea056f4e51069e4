from __future__ import annotations

from django.urls import path

from inspections.views import task_feeds as feeds

urlpatterns = [
    path("feeds/<int:pk>/<slug:token>.ics", feeds.task_feed, name="task_feed"),
    path("v/<slug:slug>/feeds/", feeds.task_feeds, name="task_feeds"),
    path("v/<slug:slug>/feeds/own/", feeds.renew_own, name="renew_own_feed"),
    path("v/<slug:slug>/feeds/own/withdraw/", feeds.withdraw_own, name="withdraw_own_feed"),
    path("v/<slug:slug>/feeds/add/", feeds.add_feed, name="add_task_feed"),
    path("v/<slug:slug>/feeds/<int:pk>/withdraw/", feeds.withdraw, name="withdraw_task_feed"),
]
