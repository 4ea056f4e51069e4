"""The venue app, as Django knows it."""

from django.apps import AppConfig


class VenueConfig(AppConfig):
    """The venue app."""

    name = "venue"
