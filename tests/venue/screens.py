"""Sending the register's forms as a browser does: what the page shows, with some fields changed."""

from __future__ import annotations

import re
from html import unescape
from typing import Any

from django.test import Client

from venue.models import Person


def signed_in(person: Person) -> Client:
    client = Client()
    client.force_login(person)
    return client


def shown(client: Client, address: str) -> dict[str, Any]:
    """Every field of the form on that page with what it holds."""
    response = client.get(address)
    assert response.status_code == 200, (address, response.status_code)
    return {
        bound.name: bound.value() if bound.value() is not None else ""
        for bound in response.context["form"]
    }


def send(client: Client, address: str, **changed: Any):
    """Open the form, type, and send it."""
    return client.post(address, shown(client, address) | changed)


def words(response: Any) -> str:
    """The page as a person reads it."""
    text = re.sub(r"<[^>]+>", " ", response.content.decode())
    return " ".join(unescape(text).split())


def faults(response: Any) -> dict[str, list[str]]:
    """The faults of a refused form, by field."""
    assert response.status_code == 422, response.status_code
    return {name: list(found) for name, found in response.context["form"].errors.items()}
