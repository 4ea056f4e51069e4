"""The search box: everything by its name, whoever asks, in either database."""

from __future__ import annotations

from collections.abc import Iterator
from copy import deepcopy
from datetime import date
from typing import Any

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import resolve, reverse
from django.utils.translation import override

from inspections.find_actions import ActionRefused, actions_for, find_actions, read_actions
from inspections.models import Remedy, Report, ReturnToService, Task
from inspections.queries.folded import holding
from inspections.queries.found import MOST, Group, Hit
from inspections.queries.search import search
from tests.inspections.proof_house import (
    AT,
    DAY,
    House,
    make_finding,
    make_photograph,
    make_proof_house,
    make_record,
    make_task,
)
from tests.shared_rows import rows_of_a_file
from tests.test_walk import patterns
from venue.folding import folded
from venue.models import Equipment, Membership, Part, Place
from venue.roles import READ_PAGES, may

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]


@pytest.fixture(scope="module")
def made(django_db_setup: None, django_db_blocker: Any) -> Iterator[House]:
    with rows_of_a_file(django_db_blocker):
        with django_db_blocker.unblock():
            house = make_proof_house()
            make_task(house, 1, date(2026, 2, 1), person=house.tam)
            make_finding(house, make_record(house))
            make_rope(
                house.winch, "line 3", identifier="R-118", fields={"certificate": "Mill 5120"}
            )
            Report.objects.create(
                venue=house.venue, number=41, what="day", title="Inspection day", examined_on=DAY,
                signer=house.tam, signer_name=house.tam.name, signer_role="", meaning="", at=AT,
                record_json="{}", record_sha256="0" * 64, kept_file=make_photograph(house),
            )  # fmt: skip
        yield house


@pytest.fixture
def house(made: House, db: None) -> House:
    return deepcopy(made)


def make_rope(equipment: Equipment, code: str, **known: Any) -> Part:
    return Part.objects.create(
        equipment=equipment, code=code, kind="wire_rope", kind_hash="", name="Wire rope", **known
    )


def make_piece(house: House, tag: str, name: str) -> Equipment:
    return Equipment.objects.create(
        venue=house.venue, place=house.winch.place, tag=tag, name=name, kind="drum_winch", kind_hash=""
    )  # fmt: skip


def found(house: House, typed: str, role: str = "manager") -> dict[str, list[Hit]]:
    return {title: group.hits for title, group in found_groups(house, typed, role).items()}


def found_groups(house: House, typed: str, role: str = "manager") -> dict[str, Group]:
    groups = search(house.venue, role, typed, date(2026, 2, 12))
    return {group.title: group for group in groups}


@pytest.mark.parametrize(
    ("typed", "title", "what", "state"),
    [
        ("cw-01", "Equipment", "CW-01 Canopy winch", "out of service"),
        ("CANOPY gridiron", "Equipment", "CW-01 Canopy winch", "out of service"),
        ("r-118", "Ropes and other parts", "CW-01: line 3 Wire rope", "out of service"),
        ("mill 5120", "Ropes and other parts", "CW-01: line 3 Wire rope", "out of service"),
        ("grid", "Places", "Gridiron", ""),
        ("achter", "People", "Tam Achterberg", ""),
        ("broken wires", "Findings", "Line 3: broken wires", "watch"),
        ("broken", "Orders", "Line 3: broken wires", "out of service"),
        ("41", "Reports", "Report 41", "done"),
        ("report 41", "Reports", "Report 41", "done"),
        ("monthly canopy", "Tasks", "CW-01 Canopy winch: Running ropes of a winch, monthly", "late"),
    ],
)  # fmt: skip
def test_each_kind_of_thing_is_found_by_its_name_with_how_it_stands(
    house: House, typed: str, title: str, what: str, state: str
) -> None:
    hit = found(house, typed)[title][0]
    assert (hit.what, hit.state) == (what, state)
    client = Client()
    client.force_login(house.odile)
    if title != "Reports":  # whose file is made up here
        assert client.get(hit.url).status_code == 200


@pytest.mark.parametrize(
    "typed", ["strasse øst", "STRASSE ost", "straße OST", "Stra\u00dfe o\u0308st"]
)
def test_case_and_accents_do_not_matter_in_either_database(house: House, typed: str) -> None:
    make_piece(house, "É1", "Straße Øst Überhang")
    assert [hit.what for hit in found(house, typed)["Equipment"]] == ["É1 Straße Øst Überhang"]
    assert found(house, "e1 uberhang")["Equipment"]


def test_the_database_folds_every_letter_as_python_does(house: House) -> None:
    letters = "".join(chr(code) for code in range(0x21, 0x250) if chr(code).isprintable())
    Place.objects.create(venue=house.venue, slug="all", name=letters[:190])
    Place.objects.create(venue=house.venue, slug="rest", name=letters[190:380])
    Place.objects.create(venue=house.venue, slug="end", name=letters[380:])
    seen = 0
    for place in Place.objects.filter(slug__in=("all", "rest", "end")):
        rows = holding(Place.objects.filter(pk=place.pk), [folded(place.name)], "name")
        assert rows.count() == 1, [each for each in place.name if not each.isascii()]
        seen += len(place.name)
    assert seen > 480


def test_every_word_must_be_there_and_a_single_letter_finds_what_one_can_do(house: House) -> None:
    assert "Equipment" not in found(house, "canopy paint")
    assert set(found(house, "c")) == {"What you can do"}
    assert found(house, "100% _nothing") == {}


def test_what_stands_nearer_the_beginning_comes_first_and_six_are_enough(house: House) -> None:
    for number in range(9):
        make_piece(house, f"X{number}", "Beside W7")
    make_piece(house, "W7", "Drum winch")
    hits = found(house, "w7")["Equipment"]
    assert (hits[0].what, len(hits)) == ("W7 Drum winch", MOST)


def test_a_tag_of_one_letter_is_found_before_what_one_can_do(house: House) -> None:
    make_piece(house, "A", "Fire curtain")
    make_piece(house, "A1", "Beside it")
    groups = search(house.venue, "manager", " a ", DAY)
    assert [group.title for group in groups] == ["Equipment", "What you can do"]
    assert [hit.what for hit in groups[0].hits] == ["A Fire curtain"]


def test_the_ropes_of_the_piece_that_is_named_come_before_those_of_others(house: House) -> None:
    for number in range(10, 20):
        make_rope(make_piece(house, f"W{number}", "Winch"), "line 1")
    named = make_piece(house, "W1", "A winch with a longer name")
    make_rope(named, "line 1", retired_on=DAY, retired_why="Worn")
    make_rope(named, "line 2")
    groups = found_groups(house, "w1 rope")
    ropes = groups["Ropes and other parts"]
    assert [hit.what for hit in ropes.hits][:2] == ["W1: line 2 Wire rope", "W1: line 1 Wire rope"]
    assert (len(ropes.hits), ropes.more, ropes.url) == (MOST, True, "")
    assert found(house, "w1")["Equipment"][0].what.startswith("W1 ")


def test_what_stands_open_comes_before_what_is_cured(house: House) -> None:
    for number in range(8):
        done = make_finding(house, None, what=f"Pin {number}")
        remedy = Remedy.objects.create(finding=done, what="A new one.", by=house.tam, at=AT)
        for order in done.orders.all():
            ReturnToService.objects.create(
                order=order, remedy=remedy, remedied_by=house.tam, by=house.odile, by_name="Odile Varga",
                by_competence="", statement="Looked at.", at=AT,
            )  # fmt: skip
    make_finding(house, None, what="A stretched retaining pin")
    groups = found_groups(house, "pin")
    for title, state in (("Findings", "watch"), ("Orders", "out of service")):
        assert groups[title].more, title
        assert [hit.state for hit in groups[title].hits] == [state] + ["done"] * (MOST - 1)


def test_more_than_six_of_a_kind_are_said_with_the_list_that_has_them_all(house: House) -> None:
    for number in range(MOST + 1):
        piece = make_piece(house, f"É{number}", "Østre winch")
        make_finding(house, None, what=f"Østre pin {number}")
        Place.objects.create(venue=house.venue, slug=f"o{number}", name=f"Østre {number}")
        task = make_task(house, 50 + number, date(2026, 2, 20))
        Task.objects.filter(pk=task.pk).update(equipment=piece)
    groups, client = found_groups(house, "ostre"), Client()
    client.force_login(house.odile)
    with time_machine.travel(AT, tick=False):
        for title, table in (("Equipment", 7), ("Tasks", 7), ("Findings", 7), ("Orders", 7)):
            assert groups[title].more, title
            assert client.get(groups[title].url).context["table"].found == table, title
        page = client.get(reverse("find", args=["larkspur"]), {"q": "ostre"}).content.decode()
        now = client.get(reverse("find_now", args=["larkspur"]), {"q": "ostre"}).content.decode()
    assert page.count("More than 6: see them all") == now.count("More than 6: see them all") == 5
    assert not found_groups(house, "cw-01")["Equipment"].more


def test_a_place_leads_to_all_that_stands_inside_it_and_a_person_to_themselves(
    house: House,
) -> None:
    client = Client()
    client.force_login(house.odile)
    stage = client.get(found(house, "stage house")["Places"][0].url).content.decode()
    assert "CW-01" in stage, "it stands on the gridiron, inside the stage house"
    tam = client.get(found(house, "achterberg")["People"][0].url)
    assert tam.context["table"].found == 1


def test_a_task_and_a_report_are_found_and_said_in_the_language_of_the_page(house: House) -> None:
    for language, typed, title, what in (
        ("de", "laufende seile canopy", "Tasks", "CW-01 Canopy winch: Laufende Seile"),
        ("de", "running ropes canopy", "Tasks", "CW-01 Canopy winch: Laufende Seile"),
        ("de", "bericht 41", "Reports", "Bericht 41"),
        ("es", "informe 41", "Reports", "Informe 41"),
        ("es", "report 41", "Reports", "Informe 41"),
    ):
        with override(language):
            groups = {group.title: group for group in search(house.venue, "manager", typed, DAY)}
        assert groups[title].hits[0].what.startswith(what), typed


def test_a_check_of_a_named_piece_leads_to_it_and_questions_to_whoever_may_see_them(
    house: House,
) -> None:
    hit = found(house, "check cw-01", "stagehand")["What you can do"][0]
    page = reverse("equipment", args=["larkspur", house.winch.pk])
    assert hit == Hit("Start a check: CW-01 Canopy winch", "", page)
    assert found(house, "start a check", "stagehand")["What you can do"][0].url.endswith("/round/")
    for role in ("competent", "examiner", "auditor", "manager"):
        assert "Questions of auditors" in [
            hit.what for hit in found(house, "auditor questions", role)["What you can do"]
        ], role
    assert "What you can do" not in found(house, "auditor questions", "stagehand")


def test_another_house_is_not_found(house: House) -> None:
    studio = Membership.objects.get(person=house.stranger).venue
    assert search(studio, "manager", "canopy", DAY) == []
    client = Client()
    client.force_login(house.stranger)
    for name in ("find", "find_now"):
        assert client.get(reverse(name, args=["larkspur"]), {"q": "canopy"}).status_code == 404


def test_actions_are_found_by_what_people_call_them_and_only_by_whoever_may(house: House) -> None:
    def names(typed: str, role: str) -> list[str]:
        return [hit.what for hit in found(house, typed, role).get("What you can do", [])]

    assert names("import the register", "manager") == ["Register file"]
    assert names("import the register", "stagehand") == []
    assert names("log a check", "stagehand") == ["Start a check"]
    assert names("take out of service", "stagehand") == ["Take out of service"]
    assert names("take out of service", "auditor") == []


def test_actions_are_found_in_the_language_of_the_page_and_in_english(house: House) -> None:
    for language, typed, name in (
        ("de", "ausser betrieb nehmen", "Außer Betrieb nehmen"),
        ("de", "sperren", "Außer Betrieb nehmen"),
        ("de", "take out", "Außer Betrieb nehmen"),
        ("es", "añadir equipo", "Añadir un equipo"),
    ):
        with override(language):
            found = search(house.venue, "manager", typed, DAY)[0]
        assert name in [hit.what for hit in found.hits], typed
    assert not [each for each in actions_for("manager", ["sperren"]) if each.name]


def test_an_action_with_a_tag_leads_straight_to_that_piece(house: House) -> None:
    hit = found(house, "out of service cw-01", "stagehand")["What you can do"][0]
    assert hit.what == "Take out of service: CW-01 Canopy winch"
    assert hit.url == reverse("take_out", args=["larkspur", house.winch.pk])


def test_whoever_is_offered_an_action_may_open_its_page() -> None:
    views = patterns()
    assert len(find_actions()) >= 25
    for action in find_actions():
        if action.everywhere:
            assert resolve(reverse(action.url))
            continue
        needs = views[action.alone or action.url].callback.needs
        for role in READ_PAGES:
            assert may(role, needs) or not may(role, action.right), (action.name, role)
    assert len(actions_for("manager", [])) > len(actions_for("auditor", []))


@pytest.mark.parametrize(
    "bad",
    ['[[action]]\nname = "A"', '[[action]]\nname="A"\nwords=""\nurl="x"\nright="fly"', "[[action"],
)
def test_a_faulty_list_of_actions_is_refused_by_name(bad: str) -> None:
    with pytest.raises(ActionRefused, match=r"find_actions\.toml"):
        read_actions(bad)


def test_the_search_asks_the_same_number_of_questions_for_more_of_everything(house: House) -> None:
    def asked() -> int:
        with CaptureQueriesContext(connection) as queries:
            search(house.venue, "manager", "winch line 3", DAY)
            search(house.venue, "manager", "winch", DAY)
        return len(queries)

    few = asked()
    for number in range(5):
        make_rope(make_piece(house, f"W{number}", "Drum winch"), "line 3")
        make_finding(house, None, what=f"Winch worn {number}")
        make_task(house, 10 + number, date(2026, 2, 20))
    assert asked() == few <= 36


def test_the_page_works_as_a_plain_form_and_every_head_has_the_box(house: House) -> None:
    client = Client()
    client.force_login(house.odile)
    words = client.get(reverse("find", args=["larkspur"]), {"q": "<canopy"}).content.decode()
    assert "Nothing found" in words
    assert "&lt;canopy" in words
    words = client.get(reverse("find", args=["larkspur"]), {"q": "canopy"}).content.decode()
    assert "CW-01 Canopy winch" in words
    assert "Out of service" in words
    head = client.get(reverse("finding_list", args=["larkspur"])).content.decode()
    assert 'role="search"' in head
    assert "scripts/find.js" in head
    # The page that a phone keeps asks for no script that it might not have.
    assert "scripts/find.js" not in client.get(reverse("round", args=["larkspur"])).content.decode()
    options = client.get(reverse("find_now", args=["larkspur"]), {"q": "canopy"}).content.decode()
    assert options.count('role="option"') >= 4
    assert "<html" not in options
