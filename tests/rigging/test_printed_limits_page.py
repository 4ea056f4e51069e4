"""The printed limits on screen: each with its figure and the document it comes from."""

from __future__ import annotations

import html

import pytest
from django.test import Client
from django.urls import reverse

from rigging.engine.limit_set_files import load_limit_sets
from tests.house import make_house

pytestmark = pytest.mark.django_db


def test_every_limit_is_shown_with_its_document_and_what_is_switched_off_says_why():
    house, client = make_house(), Client()
    client.force_login(house.people["auditor"])
    page = client.get(reverse("printed_limits", args=[house.venue.slug]))
    shown = html.unescape(page.content.decode())
    limits = [limit for each in load_limit_sets().values() for limit in each.limits]
    assert shown.count('<th scope="row"') == len(limits)
    for limit in limits:
        assert limit.words[1:] in shown, limit.slug
        assert limit.source.document in shown
        assert not limit.off or f"Switched off: {limit.off}" in shown
    assert "At least 39 in and at most 45 in" in shown
