"""A rule set on screen: criteria, printed tables, sources, and what is switched off."""

from __future__ import annotations

import html

import pytest
from django.test import Client
from django.urls import reverse

from rigging.engine import load_rulesets
from rigging.queries.printed_tables import shown_tables
from tests.house import make_house

pytestmark = pytest.mark.django_db


def test_every_rule_set_shows_its_criteria_sources_and_tables():
    house, client = make_house(), Client()
    client.force_login(house.people["auditor"])
    for slug, rules in load_rulesets().items():
        page = client.get(reverse("ruleset", args=[house.venue.slug, slug]))
        shown = html.unescape(page.content.decode())
        assert all(source.document in shown for source in rules.sources), slug
        assert all(each.words[1:] in shown for each in rules.criteria), slug
        assert shown.count("<h2>Table: ") == len(rules.tables), slug
        assert all(each.off in shown for each in rules.criteria), slug


def test_a_table_is_shown_as_it_is_printed():
    iso = shown_tables(load_rulesets()["iso-4309-2017-counts"])[0]
    rows = dict(iso.rows)
    assert rows["from 101 to 120"][iso.columns.index("multi 30d")] == "20 or 19"
    assert rows["from 301"][iso.columns.index("ordinary 6d")] == "4 %"
    ontario = dict(shown_tables(load_rulesets()["ca-ontario-213-91-168"])[0].rows)
    assert ontario == {
        "to 19 mm": ["1 mm"], "above 19 mm to 29 mm": ["2 mm"], "above 29 mm": ["3 mm"],
    }  # fmt: skip
