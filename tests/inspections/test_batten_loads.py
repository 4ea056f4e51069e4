"""Loads of a batten: what is posted, what was recorded, what its lines would carry; nothing is made up."""

from __future__ import annotations

from datetime import timedelta
from fractions import Fraction
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inspections.actions.fill_check import keep_answer, start_use_check
from inspections.actions.submit_check import submit_check
from inspections.batten_loads import Batten, Hung, Posted, spread_evenly
from inspections.queries.batten_loads import batten_loads
from inspections.regime_files import regimes
from rigging.calculators import load_calculators
from rigging.calculators.asking import ask
from rigging.calculators.svg import svg_of
from tests.house import NOW, make_equipment, make_house
from venue.models import Equipment, RatedLoad
from venue.quantities import Quantity, read_quantity
from venue.quantity_units import GRAVITY


def mass(text: str) -> Quantity:
    return read_quantity(text, "mass")


def length(text: str) -> Quantity:
    return read_quantity(text, "length")


def posted(rated: str | None, hung: str | None = None, doubt: str | None = None) -> Posted:
    load = Hung(mass(hung), mass(doubt) if doubt else None) if hung else None
    return Posted("Whole", mass(rated) if rated else None, "", True, load)


@pytest.mark.parametrize(
    ("figure", "state", "gap"),
    [
        (posted("450 kg", "420 kg"), "below", "30 kg"),
        (posted("450 kg", "450 kg"), "at", "0 kg"),
        (posted("450 kg", "450.01 kg"), "beyond", "0.01 kg"),
        (posted("1000 lb", "454 kg"), "beyond", "0.8987 lb"),
        (posted("450 kg", "445 kg", "10 kg"), "cannot be decided", "5 kg"),
        (posted("450 kg", "440 kg", "10 kg"), "below", "10 kg"),
        (posted("450 kg", "470 kg", "10 kg"), "beyond", "20 kg"),
        (posted("450 kg"), "cannot be decided", ""),
        (posted(None, "420 kg"), "cannot be decided", ""),
    ],
)
def test_a_load_is_held_against_the_posted_figure_exactly(
    figure: Posted, state: str, gap: str
) -> None:
    assert (figure.state, figure.gap) == (state, gap)


def test_the_bar_reaches_beyond_the_mark_only_where_the_load_does() -> None:
    hung, mark = posted("450 kg", "225 kg").bar
    assert hung == mark / 2
    hung, mark = posted("450 kg", "900 kg").bar
    assert mark == hung / 2
    assert posted(None, "420 kg").bar is None


# Five lines at equal spans under an even load: in parts of w·l, 11/28, 32/28, 26/28, 32/28, 11/28, as
# printed in Civil Engineering Formulas, table 2.1. Here w·l is 2800 lb.
EVEN = Batten(length("40 ft"), mass("0 lb"), length("10 ft"), 5)


def test_five_lines_carry_what_the_printed_table_says() -> None:
    found = spread_evenly(EVEN, mass("11200 lb"), mass("3000 lb"))
    pounds = [line.newtons / GRAVITY / mass("1 lb").si for line in found.lines]
    assert pounds == [1100, 3200, 2600, 3200, 1100]
    assert found.over_one_line == (2, 4)
    assert [line.place for line in found.lines] == ["0 ft", "10 ft", "20 ft", "30 ft", "40 ft"]


def test_the_lines_carry_the_load_and_the_batten_and_the_calculator_says_the_same() -> None:
    batten = Batten(length("14 m"), mass("62 kg"), length("3.2 m"), 5)
    found = spread_evenly(batten, mass("450 kg"), None)
    assert sum(line.newtons for line in found.lines) == 512 * GRAVITY
    assert found.over_one_line == ()
    asked = ask(load_calculators()["line-loads"], found.typed)
    assert not asked.faulty
    for line in found.lines:
        again = Fraction(asked.answer.figure(f"line_{line.number}").value)
        assert 0 <= again - line.newtons <= Fraction(1)  # its weight per metre is rounded up
    assert found.diagram is not None
    assert 'role="img"' in svg_of(found.diagram)


@pytest.mark.parametrize(
    "batten",
    [
        Batten(None, mass("62 kg"), length("3.2 m"), 5),
        Batten(length("14 m"), None, length("3.2 m"), 5),
        Batten(length("14 m"), mass("62 kg"), None, 5),
        Batten(length("14 m"), mass("62 kg"), length("3.2 m"), None),
        Batten(length("10 m"), mass("62 kg"), length("3.2 m"), 5),  # its lines do not fit on it
        Batten(length("14 m"), mass("62 kg"), length("3.2 m"), 1),
        Batten(
            length("60 m"), mass("62 kg"), length("3.2 m"), 13
        ),  # more than the calculator takes
    ],
)
def test_what_is_not_known_or_does_not_fit_is_not_worked_out(batten: Batten) -> None:
    assert spread_evenly(batten, mass("450 kg"), None) is None


SET = {
    "set_number": "5", "lift_line_count": "5", "line_spacing": "3.2 m", "batten_length": "14 m",
    "batten_weight": "62 kg", "travel": "17 m", "imbalance_limit": "20 kg",
}  # fmt: skip


@pytest.fixture
def house() -> Any:
    house = make_house()
    house.set = make_equipment(house.venue, "S05", "counterweight_set_single", SET)
    for purpose, text in (("whole", "450 kg"), ("per_line", "110 kg")):
        RatedLoad.objects.create(
            equipment=house.set, purpose=purpose, quantity=mass(text).stored(), source="Name plate"
        )
    return house


def hang(house: Any, load: str, hours: int = 0, **more: str) -> None:
    by, at = house.people["competent"], NOW + timedelta(hours=hours)
    draft = start_use_check(
        equipment=house.set, regime=regimes()["counterweight_new_hang"], by=by, at=at
    )
    unseen = {"given": "could_not_look", "reason": "No card is there."}
    answers = {"load_hung": {"value": load} | more, "heaviest_point": {"value": "60 kg"}}
    for key, typed in (answers | {"card_updated": unseen}).items():
        keep_answer(draft=draft, key=key, typed=typed, at=at)
    submit_check(draft=draft, by=by, at=at)


def section_of(house: Any, piece: Equipment) -> str:
    client = Client()
    client.force_login(house.people["stagehand"])
    html = client.get(reverse("equipment", args=[house.venue.slug, piece.pk])).content.decode()
    return html.split('id="loads"')[1].split("</section>")[0] if 'id="loads"' in html else ""


@pytest.mark.django_db
def test_a_load_that_nobody_recorded_is_said_to_be_not_recorded(house: Any) -> None:
    html = section_of(house, house.set)
    assert "What hangs now is not recorded" in html
    assert "Not what hangs: the whole posted 450 kg, spread evenly" in html
    assert "below the posted figure</" not in html
    assert '<svg class="load-bar' not in html
    assert "Lines 2, 3, 4 would carry more than is posted for any one line." in html
    assert "Posted: not known; nothing recorded yet" in " ".join(html.split())
    assert "says nothing of the state of lines" in " ".join(html.split())


@pytest.mark.django_db
def test_the_latest_new_hang_is_what_is_shown_with_its_day_and_person(house: Any) -> None:
    hang(house, "470 kg", hours=1)
    hang(house, "300 kg")
    html = " ".join(section_of(house, house.set).split())
    assert "as recorded on 4 May 2026 by Competent" in html
    assert "recorded: 470 kg" in html
    assert "20 kg beyond the posted figure" in html
    assert 'class="load-bar is-beyond"' in html
    assert "If the recorded 470 kg were spread evenly" in html
    assert "What was hung or taken off since" in html


@pytest.mark.django_db
def test_a_reading_within_its_doubt_of_the_posted_figure_is_not_decided(house: Any) -> None:
    hang(house, "448 kg", uncertainty="5 kg")
    html = " ".join(section_of(house, house.set).split())
    assert "recorded: 448 kg ± 5 kg" in html
    assert "The posted figure lies within the doubt of the reading" in html


@pytest.mark.django_db
def test_what_the_register_does_not_know_is_named(house: Any) -> None:
    fields = {name: value for name, value in house.set.fields.items() if name != "batten_weight"}
    Equipment.objects.filter(pk=house.set.pk).update(fields=fields)
    html = section_of(house, house.set)
    assert "The register does not know: Weight of the bare batten with its fittings" in html
    assert "<figure>" not in html


@pytest.mark.django_db
def test_what_has_no_batten_has_no_such_section(house: Any) -> None:
    assert section_of(house, house.winch) == ""


@pytest.mark.django_db
def test_it_costs_the_same_however_often_something_was_hung(house: Any) -> None:
    asked = []
    for hours in range(3):
        hang(house, "300 kg", hours)
        with CaptureQueriesContext(connection) as queries:
            batten_loads(Equipment.objects.get(pk=house.set.pk))
        asked.append(len(queries))
    assert asked == [4, 4, 4]
