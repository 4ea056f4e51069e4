"""Loftbook's addresses with the bare ones in front."""

from django.urls import include, path

from bench import views

urlpatterns = [
    path("bare/<int:sheet>/", views.page, name="bare_page"),
    path("bare/<uuid:record>/start/", views.start, name="bare_start"),
    path("bare/<uuid:record>/post/", views.post, name="bare_post"),
    path("", include("config.urls")),
]
