"""Sixteen write to one log at the same time: nothing is lost, no number is missing, one root."""

from __future__ import annotations

import json
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from itertools import pairwise
from threading import Barrier

import pytest
from django.db import connections, transaction

from tests.house import NOW, make_venue
from tests.venue.trees import whole
from venue.actions.log import Deed, write_lines
from venue.models import LogLine, Place, Venue

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.both_databases]

WRITERS, EACH = 16, 12


class ChangedMind(Exception):
    """What a writer meets after its lines were written."""


def test_of_sixteen_writers_at_once_nothing_is_lost_and_there_is_one_root() -> None:
    venue, other = make_venue(), make_venue("tern-studio")
    ready = Barrier(WRITERS)

    def write(writer: int) -> int:
        ready.wait(timeout=30)
        kept = 0
        try:
            for turn in range(EACH):
                kept += change(venue, writer, turn)
                change(other, writer, turn)
        finally:
            connections.close_all()
        return kept

    with ThreadPoolExecutor(WRITERS) as pool:
        kept = list(pool.map(write, range(WRITERS)))
    turns = [turn for turn in range(EACH) if not gives_up(turn)]
    lines = [1 + turn % 3 for turn in turns]
    assert kept == [sum(lines)] * WRITERS
    for house in (venue, other):
        assert whole(house) == WRITERS * sum(lines)
        told = [json.loads(line.body)["after"]["who"] for line in house.log_lines.all()]
        assert sorted(told) == sorted(
            f"{writer} {turn} {part}"
            for writer in range(WRITERS)
            for turn in turns
            for part in range(1 + turn % 3)
        )
        assert house.places.count() == WRITERS * len(turns)
    in_order(venue)


def gives_up(turn: int) -> bool:
    return turn % 4 == 3


def change(venue: Venue, writer: int, turn: int) -> int:
    """One change with its lines, in one transaction; every fourth comes to nothing. Returns lines."""
    deeds = [
        Deed("add_place", venue, None, {"who": f"{writer} {turn} {part}"})
        for part in range(1 + turn % 3)
    ]
    try:
        with transaction.atomic():
            Place.objects.create(venue=venue, slug=f"p{writer}-{turn}", name="Place")
            at = NOW + timedelta(seconds=turn)
            lines = write_lines(venue=venue, by=None, at=at, deeds=deeds)
            if gives_up(turn):
                raise ChangedMind
    except ChangedMind:
        return 0
    return len(lines)


def in_order(venue: Venue) -> None:
    """What one transaction wrote stands together, and each writer's turns are in their order."""
    told = [
        [int(word) for word in json.loads(line.body)["after"]["who"].split()]
        for line in LogLine.objects.filter(venue=venue).order_by("number")
    ]
    for before, after in pairwise(told):
        assert after[2] == 0 or after == [before[0], before[1], before[2] + 1]
    for writer in range(WRITERS):
        turns = [turn for who, turn, _ in told if who == writer]
        assert turns == sorted(turns)
