"""Loftbook's addresses with the two bare ones in front."""

from django.urls import include, path

from bench import views

urlpatterns = [
    path("bare/<int:rows>/", views.page, name="bare_page"),
    path("bare/<int:rows>/post/", views.post, name="bare_post"),
    path("", include("config.urls")),
]
