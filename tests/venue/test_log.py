"""The log: one order, one tree, canonical text."""

from __future__ import annotations

import json
from hashlib import sha256
from typing import Any

import pytest
import rfc8785
from django.db import transaction
from hypothesis import example, given, settings
from hypothesis import strategies as st

from tests.house import NOW, make_venue
from tests.vectors.canonical import PUBLISHED
from tests.venue.trees import whole
from venue.actions.log import Deed, LineOutsideTransaction, write_line, write_lines
from venue.log_hash import canonical, canonical_list, canonical_map
from venue.models import LogHead

TEXTS = st.text(max_size=12)
PLAIN = st.recursive(
    st.none() | st.booleans() | TEXTS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(TEXTS, inner, max_size=4),
    max_leaves=20,
)


@settings(max_examples=300, deadline=None)
@given(body=st.dictionaries(TEXTS, PLAIN | st.integers(-(2**53) + 1, 2**53 - 1), max_size=6))
@example(body={"\ufb33": "a", "\U0001f600": "b"})  # by code point the other way round
@example(body={"a": '"\\\b\f\n\r\t\x00\x1f\x7f\u2028 é \U0001f600'})
@example(body={"b": 1, "a": [True, None, {"d": "x", "c": ()}]})
def test_the_quick_canonical_text_is_that_of_rfc_8785(body: dict[str, Any]) -> None:
    assert canonical(body) == rfc8785.dumps(body).decode()


@pytest.mark.external("printed")
@pytest.mark.parametrize("name", PUBLISHED)
def test_the_canonical_text_is_the_published_one(name: str) -> None:
    text, digest, size = PUBLISHED[name]
    made = canonical(json.loads(text)).encode()
    assert (sha256(made).hexdigest(), len(made)) == (digest, size)


@settings(max_examples=100, deadline=None)
@given(body=st.dictionaries(st.from_regex(r"[a-z_]+", fullmatch=True), PLAIN, max_size=6))
def test_canonical_texts_put_together_are_the_text_of_the_whole(body: dict[str, Any]) -> None:
    texts = {name: canonical(value) for name, value in body.items()}
    assert canonical_map(texts) == canonical(body)
    assert canonical_list(texts.values()) == canonical(list(body.values()))


@pytest.mark.parametrize("name", ['a"b', "é", "a b", "", "1"])
def test_a_map_is_put_together_of_plain_words_only(name: str) -> None:
    with pytest.raises(ValueError, match="not words"):
        canonical_map({"a": "1", name: "2"})


@pytest.mark.parametrize("body", [{"a": "\ud800"}, {"a": float("nan")}, {"a": 2**53 + 1}])
def test_what_has_no_canonical_text_is_refused(body: dict[str, Any]) -> None:
    with pytest.raises((UnicodeEncodeError, rfc8785.CanonicalizationError)):
        canonical(body)


@pytest.mark.django_db
def test_lines_written_at_once_are_the_tree_written_one_by_one() -> None:
    one, other = make_venue(), make_venue("tern-studio")
    deeds = [Deed("change_day", one, {"day": day}, {"day": day + 1}) for day in range(3)]
    with transaction.atomic():
        for deed in deeds:
            write_line(
                venue=one, by=None, at=NOW, did=deed.did, subject=one,
                before=deed.before, after=deed.after,
            )  # fmt: skip
        written = write_lines(venue=other, by=None, at=NOW, deeds=deeds)
    first, second = ([*house.log_lines.order_by("number")] for house in (one, other))
    assert [line.pk for line in second] == [line.pk for line in written]
    assert [(line.number, line.body, line.sha256) for line in first] == [
        (line.number, line.body, line.sha256) for line in second
    ]
    assert whole(one) == whole(other) == 3
    assert {head.root for head in LogHead.objects.all()} == {LogHead.objects.get(venue=one).root}


@pytest.mark.django_db(transaction=True)
def test_a_line_outside_the_transaction_of_its_change_is_refused() -> None:
    venue = make_venue()
    with pytest.raises(LineOutsideTransaction):
        write_line(venue=venue, by=None, at=NOW, did="change_day", subject=venue)
    assert not venue.log_lines.exists()
