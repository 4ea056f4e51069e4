"""A stagehand's check, a bad rope, out of service at once, a second person's return."""

from __future__ import annotations

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image

from inspections.models import AuthorityNotice, Finding, Order, Record, ReturnToService
from inspections.queries.state import state_of
from tests.house import PASSWORD, TODAY, make_house
from venue.models import LogLine

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]


@pytest.fixture
def house():
    return make_house()


def signed_in(person) -> Client:
    client = Client()
    client.force_login(person)
    return client


def photograph() -> SimpleUploadedFile:
    out = io.BytesIO()
    Image.new("RGB", (60, 40), "grey").save(out, "JPEG")
    return SimpleUploadedFile("rope.jpg", out.getvalue(), "image/jpeg")


def rope_typed(key: str, diameter: str, broken: str) -> dict[str, str]:
    said = {
        "dia_1_a": diameter, "dia_1_b": diameter, "instrument": "Caliper", "broken_lay": broken,
        "broken_strand_count": "2" if broken != "0" else "0", "broken_valley": "0", "broken_end": "0", "looked": "yes",
    }  # fmt: skip
    return {f"{key}:{name}": value for name, value in said.items()}


def check_rope(house, person, diameter: str, broken: str, **graded: str):
    """Fill and submit the monthly rope check as a plain form, without script."""
    client = signed_in(person)
    start = client.post(
        f"/v/larkspur/equipment/{house.winch.pk}/checks/", {"regime": house.regime.slug}
    )
    assert start.status_code == 302, start.content
    posted = {}
    for check in house.regime.checks:
        if check.answer == "rope":
            key = f"{check.slug}.{house.rope.pk}"
            posted |= rope_typed(key, diameter, broken)
            posted |= {f"{key}:{name}": value for name, value in graded.items()}
        else:
            key = f"{check.slug}.{house.rope.pk}" if check.part_kind else check.slug
            posted[f"{key}:given"] = "yes"
    filled = client.post(start.url, posted)
    assert filled.status_code == 302, filled.content.decode()[-3000:]
    assert filled.url.endswith("/review/")
    submitted = client.post(start.url + "submit/", {"remark": "Looked at in daylight"})
    assert submitted.status_code == 302
    return client, submitted.url


def test_a_good_rope_opens_nothing_and_the_record_says_fit(house):
    _, url = check_rope(house, house.people["competent"], "0.2475 in", "0")
    record = Record.objects.get()
    assert record.state in ("fit", "watch")
    assert str(record.pk) in url
    assert Finding.objects.count() == 0
    assert record.may_sign


def test_six_broken_wires_take_the_winch_out_of_service_in_the_same_step(house):
    client, _ = check_rope(house, house.people["stagehand"], "0.2475 in", "6")
    order = Order.objects.get()
    assert (order.what, order.equipment) == ("out_of_service", house.winch)
    page = client.get(f"/v/larkspur/t/{house.winch.tag}/").content.decode()
    assert "Out of service" in page
    assert page.index("banner-out") < page.index("Checks due")
    done = set(LogLine.objects.values_list("did", flat=True))
    assert {"submit_check", "open_finding", "give_order"} <= done


def test_sending_the_same_check_twice_stores_one_record(house):
    client, url = check_rope(house, house.people["stagehand"], "0.2475 in", "6")
    record = Record.objects.get()
    again = client.post(f"/v/larkspur/checks/{record.pk}/submit/")
    assert again.url == url
    assert (Record.objects.count(), Order.objects.count()) == (1, 1)


def test_only_a_second_competent_person_with_evidence_returns_it(house):
    check_rope(house, house.people["stagehand"], "0.2475 in", "6")
    order = Order.objects.get()
    first, second = signed_in(house.people["competent"]), signed_in(house.people["second"])
    returns = f"/v/larkspur/orders/{order.pk}/return/"
    early = second.post(returns, {"statement": "Looks fine"})
    assert "no remedy" in early.content.decode()
    bare = first.post(
        f"/v/larkspur/findings/{order.finding_id}/remedy/", {"what": "New rope reeved"}
    )
    assert "photograph or a PDF" in bare.content.decode()
    first.post(
        f"/v/larkspur/findings/{order.finding_id}/remedy/",
        {"what": "New rope reeved", "evidence": photograph()},
    )
    own = first.post(returns, {"statement": "I did it myself"})
    assert "second competent person" in own.content.decode()
    stagehand = signed_in(house.people["stagehand"]).post(returns, {"statement": "ok"})
    assert stagehand.status_code == 403
    assert ReturnToService.objects.count() == 0
    second.post(returns, {"statement": "New rope seen over its length, run empty and loaded"})
    assert ReturnToService.objects.get().by == house.people["second"]
    assert not state_of(house.winch, TODAY.replace(year=2030)).out


def test_anyone_on_the_crew_takes_out_of_service_with_one_reason(house):
    client = signed_in(house.people["stagehand"])
    refused = client.post(f"/v/larkspur/equipment/{house.winch.pk}/out/", {"why": " "})
    assert "Say why" in refused.content.decode()
    client.post(f"/v/larkspur/equipment/{house.winch.pk}/out/", {"why": "Smells burnt"})
    assert Order.objects.get().why == "Smells burnt"
    assert AuthorityNotice.objects.count() == 0


def test_bad_input_is_shown_again_and_nothing_typed_is_lost(house):
    client = signed_in(house.people["stagehand"])
    start = client.post(
        f"/v/larkspur/equipment/{house.winch.pk}/checks/", {"regime": house.regime.slug}
    )
    key = next(
        f"{check.slug}.{house.rope.pk}" for check in house.regime.checks if check.answer == "rope"
    )
    page = client.post(start.url, rope_typed(key, "25 bananas", "0")).content.decode()
    assert "25 bananas" in page
    refused = client.post(start.url + "submit/")
    assert refused.url == start.url
    assert Record.objects.count() == 0
    far = client.post(start.url, rope_typed(key, "0.0025 in", "0")).content.decode()
    assert "far from what was expected" in far


def test_another_venues_address_does_not_exist(house):
    client = signed_in(house.people["other manager"])
    for url in (
        "",
        "equipment/",
        f"equipment/{house.winch.pk}/",
        f"t/{house.winch.tag}/",
        "house/log/",
    ):
        assert client.get(f"/v/larkspur/{url}").status_code == 404
    mine = client.get(f"/v/tern-studio/equipment/{house.winch.pk}/")
    assert mine.status_code == 404


def test_passwords_open_the_house(house):
    client = Client()
    client.post("/account/login/", {"login": "manager@larkspur.example", "password": PASSWORD})
    assert client.get("/v/larkspur/").status_code == 200


def test_imminent_risk_prepares_the_notice_to_the_authority(house):
    check_rope(house, house.people["examiner"], "0.2475 in", "6", grade="imminent_risk")
    notice = AuthorityNotice.objects.get()
    assert "imminent risk" in notice.text
    assert Order.objects.get().what == "out_of_service"


def test_a_grade_milder_than_the_verdict_is_refused_and_nothing_is_lost(house):
    client, url = check_rope(house, house.people["examiner"], "0.2475 in", "6", grade="observation")
    assert "/checks/" in url
    assert Record.objects.count() == 0
    assert "cannot be milder" in client.get(url).content.decode()
