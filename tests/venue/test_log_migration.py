"""An old log, a chain of hashes, becomes a tree; a broken one is refused and left as it was."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from django.db import connection, connections
from django.db.migrations.executor import MigrationExecutor

from tests.venue.trees import root

pytestmark = [pytest.mark.database, pytest.mark.both_databases]

BEFORE, AFTER = [("venue", "0005_calendar_known_until")], [("venue", "0006_merkle_log")]


@pytest.fixture
def old(tmp_path: Path, django_db_blocker: Any) -> Iterator[Any]:
    """The models as they were, in a database of their own."""
    sqlite = connection.vendor == "sqlite"
    name = str(tmp_path / "old.sqlite3") if sqlite else f"old_log_{os.getpid()}"
    told = connections["default"].settings_dict | {"NAME": name}
    connections.databases["old"] = told
    with django_db_blocker.unblock(), _made(name):
        yield migrate(BEFORE)
        connections["old"].close()
    del connections.databases["old"], connections["old"]


@contextmanager
def _made(name: str) -> Iterator[None]:
    if connection.vendor == "sqlite":
        yield
        return
    with connection.cursor() as cursor:
        cursor.execute(f"create database {name}")
    try:
        yield
    finally:
        connections["old"].close()
        with connection.cursor() as cursor:
            cursor.execute(f"drop database {name}")


def migrate(to: list[tuple[str, str]]) -> Any:
    executor = MigrationExecutor(connections["old"])
    executor.migrate(to)
    return executor.loader.project_state(to).apps


def rows(models: Any, name: str) -> Any:
    return models.get_model("venue", name).objects.using("old")


def make_chain(models: Any, slug: str, lines: int) -> Any:
    """A log as it was written: over the hash of the line before, a line end, and the text."""
    organisation, _ = rows(models, "Organisation").get_or_create(slug="trust")
    venue = rows(models, "Venue").create(organisation=organisation, slug=slug, name=slug)
    previous = ""
    for number in range(1, lines + 1):
        body = f'{{"by":"Zoë","number":{number}}}'
        link = hashlib.sha256(f"{previous}\n{body}".encode()).hexdigest()
        rows(models, "LogLine").create(
            venue=venue, number=number, at="2026-02-01T12:00Z", did="x", body=body,
            previous_sha256=previous, sha256=link,
        )  # fmt: skip
        previous = link
    rows(models, "LogHead").create(venue=venue, size=lines, sha256=previous)
    return venue


def test_every_line_becomes_a_leaf_and_the_head_its_root(old: Any) -> None:
    sizes = {"larkspur": 7, "tern-studio": 1}
    for slug, lines in sizes.items():
        make_chain(old, slug, lines)
    new = migrate(AFTER)
    for slug, lines in sizes.items():
        found = list(rows(new, "LogLine").filter(venue__slug=slug).order_by("number"))
        leaves = [hashlib.sha256(b"\0" + line.body.encode()) for line in found]
        assert len(leaves) == lines
        assert [line.sha256 for line in found] == [leaf.hexdigest() for leaf in leaves]
        head = rows(new, "LogHead").get(venue__slug=slug)
        assert (head.size, head.root) == (lines, root([leaf.digest() for leaf in leaves]).hex())
        assert len(head.frontier) == 64 * lines.bit_count()


@pytest.mark.parametrize("fault", ["text", "gap", "last", "no head"])
def test_a_chain_that_does_not_hold_is_refused_and_left_as_it_was(old: Any, fault: str) -> None:
    venue = make_chain(old, "larkspur", 4)
    lines = rows(old, "LogLine").filter(venue=venue)
    heads = rows(old, "LogHead").filter(venue=venue)
    if fault == "text":
        lines.filter(number=2).update(body='{"by":"Zoe","number":2}')
    elif fault == "gap":
        lines.filter(number=2).delete()
    elif fault == "last":
        lines.filter(number=4).delete()
    else:
        heads.delete()
    before = list(lines.order_by("number").values("body", "sha256", "previous_sha256"))
    with pytest.raises(Exception, match=r"line|lines|log ends") as refused:
        migrate(AFTER)
    assert type(refused.value).__name__ == "BrokenLog"
    assert list(lines.order_by("number").values("body", "sha256", "previous_sha256")) == before
