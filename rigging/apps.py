"""The rigging app, as Django knows it."""

from django.apps import AppConfig


class RiggingConfig(AppConfig):
    """The rigging app."""

    name = "rigging"
