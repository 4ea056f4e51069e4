"""What a finding says below its head: what was judged in the language of the page, what somebody typed
as it was typed."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from django.test import Client
from django.utils.translation import override

from inspections.finding_words import detail_pieces
from inspections.models import Answer
from tests.inspections.proof_house import answer_said, make_finding, make_proof_house, make_record
from venue.models import Venue

TYPED = "Gap of 1.5 mm at 9.5 m, see 3 March 2026"
OURS = "This is an answer of yes or no."


@pytest.fixture(autouse=True)
def language() -> Iterator[None]:
    """A page leaves its language behind in this thread."""
    with override("en"):
        yield


@pytest.mark.django_db
def test_what_somebody_typed_keeps_its_points_and_days_in_every_language() -> None:
    house = make_proof_house()
    record = make_record(house, answers=[answer_said("Is the rope sound?", "no", text=TYPED)])
    answer = Answer.objects.get(record=record)
    assert answer.text == TYPED
    finding = make_finding(house, record, answer=answer, detail=f"at least 2.5 mm\n{TYPED}\n{OURS}")
    Venue.objects.filter(pk=house.venue.pk).update(language="de")
    client = Client(headers={"accept-language": "de"})
    client.force_login(house.tam)
    words = client.get(f"/v/{house.venue.slug}/findings/{finding.pk}/").content.decode()
    assert TYPED in words
    assert "2,5 mm" in words, "a figure that was computed is written as the language does"


@pytest.mark.django_db
def test_a_finding_that_somebody_put_into_words_keeps_them_too() -> None:
    house = make_proof_house()
    finding = make_finding(house, None, what=f"{TYPED} where the guard was", detail="")
    client = Client(headers={"accept-language": "de"})
    client.force_login(house.tam)
    for address in (f"findings/{finding.pk}/", "findings/", f"equipment/{house.winch.pk}/"):
        words = client.get(f"/v/{house.venue.slug}/{address}").content.decode()
        assert TYPED in words, address


@pytest.mark.parametrize(
    ("detail", "typed", "pieces"),
    [
        ("Judged.\nI typed.\nNote.", ("I typed.", ""),
         [("Judged.", False), ("I typed.", True), ("Note.", False)]),
        ("I typed\ntwo lines.\nWhy.", ("I typed\ntwo lines.", "Why."),
         [("I typed\ntwo lines.", True), ("Why.", True)]),
        ("Judged.\nNote.", (), [("Judged.", False), ("Note.", False)]),
        ("3 broken wires.\n3", ("3",), [("3 broken wires.", False), ("3", True)]),
    ],
)  # fmt: skip
def test_the_lines_of_a_finding_are_told_apart_by_who_wrote_them(
    detail: str, typed: tuple[str, ...], pieces: list[tuple[str, bool]]
) -> None:
    assert detail_pieces(detail, typed) == pieces
