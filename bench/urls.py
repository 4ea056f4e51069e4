"""Loftbook's addresses with the two bare ones in front."""

from django.urls import include, path

from bench import views

urlpatterns = [
    path("bare/<int:sheet>/", views.page, name="bare_page"),
    path("bare/<uuid:record>/post/", views.post, name="bare_post"),
    path("", include("config.urls")),
]
