"""The front door: each app brings its own addresses."""

from django.urls import include, path

urlpatterns = [
    path("account/", include("allauth.urls")),
    path("", include("venue.urls")),
    path("", include("rigging.urls")),
    path("", include("inspections.urls")),
]
