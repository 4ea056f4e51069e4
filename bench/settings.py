"""Loftbook's own settings, plus the bare pages, with collected files kept in the run's folder."""

from config import settings as ours

globals().update({name: getattr(ours, name) for name in dir(ours) if name.isupper()})

INSTALLED_APPS = [*ours.INSTALLED_APPS, "bench"]
ROOT_URLCONF = "bench.urls"
STATIC_ROOT = ours.LOFTBOOK_FILES.parent / "static"
