"""The inspections app, as Django knows it."""

from django.apps import AppConfig


class InspectionsConfig(AppConfig):
    """The inspections app."""

    name = "inspections"
