"""A check from a phone is signed by its maker, or says that nobody signed it; it is never lost."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any
from uuid import UUID, uuid4

import pytest
from allauth.mfa.models import Authenticator
from django.core.cache import cache
from django.template.loader import render_to_string
from django.test import Client
from django.utils import timezone
from fido2.utils import websafe_encode
from fido2.webauthn import AttestationObject, AuthenticatorData, CollectedClientData

from inspections.actions.plans import apply_regime
from inspections.models import KeptAside, PhoneSignature, Record, Sent
from inspections.queries.report_content import report_content
from inspections.signature_words import MEANS, MEANS_NOT
from tests.house import PASSWORD, make_house
from tests.inspections.test_messages_from_phones import message, phone_of, put
from tests.inspections.test_passkey_signatures import Device
from venue.log_hash import sha256_of
from venue.models import LogLine

pytestmark = pytest.mark.django_db
HERE = {"origin": "http://testserver", "host": "testserver"}


def register(person: Any, device: Device, name: str = "Phone") -> None:
    """What the page for adding a passkey keeps of it."""
    data = AuthenticatorData.create(
        b"\0" * 32, AuthenticatorData.FLAG.UP | AuthenticatorData.FLAG.AT, 0, device.passkey
    )
    made = AttestationObject.create("none", data, {})
    asked = CollectedClientData.create("webauthn.create", b"0" * 32, HERE["origin"])
    response = {"clientDataJSON": websafe_encode(asked), "attestationObject": websafe_encode(made)}
    credential = {
        "id": websafe_encode(device.passkey.credential_id), "rawId": websafe_encode(device.passkey.credential_id),
        "type": "public-key", "response": response, "clientExtensionResults": {},
    }  # fmt: skip
    Authenticator.objects.create(
        user=person, type="webauthn", data={"name": name, "credential": credential}
    )


@pytest.fixture
def house() -> Iterator[Any]:
    house, now = make_house(), timezone.now()
    house.plan = apply_regime(
        equipment=house.winch, regime=house.regime, anchor=now.date(), last_done_on=None,
        by=house.people["manager"], at=now,
    )  # fmt: skip
    house.task = house.plan.tasks.first()
    house.mine, house.anothers = Device(b"mine"), Device(b"anothers")
    register(house.people["competent"], house.mine)
    register(house.people["stagehand"], house.anothers)
    house.phone = phone_of(house, "competent")
    cache.clear()  # passwords are counted there, beyond the end of a test
    yield house
    cache.clear()


def sent_check(house: Any, who: str = "competent", **changed: Any) -> Sent:
    pk = uuid4()
    assert put(phone_of(house, who), pk, message(house, who, **changed)).status_code == 200
    return Sent.objects.get(pk=pk)


def signature(house: Any, sent: Sent, device: Device, **changed: Any) -> dict[str, Any]:
    said = device.signs(changed.pop("sha256", sent.sha256), **HERE)
    return said | {"person": sent.by_id, "check": str(sent.pk)} | changed


def sign(phone: Client, pk: UUID, said: dict[str, Any]) -> Any:
    address = f"/v/larkspur/sync/checks/{pk}/signature/"
    return phone.put(address, json.dumps(said), content_type="application/json")


def record_page(house: Any, sent: Sent, who: str = "manager") -> str:
    page = phone_of(house, who).get(f"/v/larkspur/records/{sent.pk}/")
    return page.content.decode()


def test_the_makers_passkey_signs_the_check_once_and_the_log_names_its_key(house: Any) -> None:
    sent = sent_check(house)
    said = signature(house, sent, house.mine)
    assert [sign(house.phone, sent.pk, said).status_code for _ in range(2)] == [200, 200]
    row = PhoneSignature.objects.get()
    assert (row.how, row.passkey, row.algorithm) == ("passkey", "Phone", "ES256")
    after = json.loads(LogLine.objects.get(did="sign_check").body)["after"]
    assert after["message_sha256"] == sent.sha256
    assert len(after["public_key_pem_sha256"]) == 64
    page = record_page(house, sent)
    assert "Signed with the passkey “Phone”" in page
    assert "What the signature means, and what it does not" in page
    assert "qualified” electronic signature" in page
    assert "Sign this check" not in record_page(house, sent, "competent")


def test_a_wrong_key_anothers_key_a_changed_byte_and_a_replay_are_refused_and_the_check_stays(
    house: Any,
) -> None:
    sent, other = sent_check(house), sent_check(house, task=None, remark="Another one.")
    spoilt = signature(house, sent, house.mine)
    spoilt["response"]["signature"] = spoilt["response"]["signature"][:-6] + "AAAAAA"
    refused = [
        signature(house, sent, Device(b"unknown")),
        signature(house, sent, Device(b"mine")),  # another key under the name of mine
        signature(house, sent, house.anothers),
        signature(house, sent, house.mine, person=house.people["stagehand"].pk),
        spoilt,
        signature(house, other, house.mine),  # a good one of another check
        signature(house, other, house.mine, check=str(sent.pk)),  # the same, renamed
    ]
    for said in refused:
        answer = sign(house.phone, sent.pk, said)
        assert (answer.status_code, answer.json().get("kept_aside")) == (422, True), said
    assert not PhoneSignature.objects.exists()
    assert KeptAside.objects.filter(message_id=sent.pk).count() == len(refused)
    assert Record.objects.count() == 2
    page = record_page(house, sent)
    assert "Nobody has signed this check" in page
    assert page.count("does not hold and was kept aside") == len(refused)
    assert "does not hold" not in record_page(house, other)
    assert sign(house.phone, sent.pk, signature(house, sent, house.mine)).status_code == 200


def test_nobody_signs_the_check_of_another_person(house: Any) -> None:
    sent = sent_check(house)
    theirs = phone_of(house, "stagehand")
    said = signature(house, sent, house.anothers, person=house.people["stagehand"].pk)
    answer = sign(theirs, sent.pk, said)
    assert (answer.status_code, answer.json()["other_person"]) == (403, True)
    page = theirs.post(f"/v/larkspur/records/{sent.pk}/sign/", {"password": PASSWORD})
    assert page.status_code == 404
    assert not PhoneSignature.objects.exists()


def test_a_signature_before_its_check_is_asked_for_again_and_holds_after_it(house: Any) -> None:
    pk, body = uuid4(), json.dumps(message(house))
    said = house.mine.signs(sha256_of(body), **HERE)
    said |= {"person": house.people["competent"].pk, "check": str(pk)}
    assert sign(house.phone, pk, said).status_code == 404
    put(house.phone, pk, body)
    assert sign(house.phone, pk, said).status_code == 200
    assert not KeptAside.objects.exists()


def test_the_signature_of_a_check_that_was_kept_aside_is_kept_aside_with_it(house: Any) -> None:
    pk = uuid4()
    assert put(house.phone, pk, "not a check").status_code == 422
    said = house.mine.signs(sha256_of("not a check"), **HERE)
    said |= {"person": house.people["competent"].pk, "check": str(pk)}
    assert sign(house.phone, pk, said).status_code == 422
    assert KeptAside.objects.filter(message_id=pk).count() == 2


def test_the_password_signs_only_when_it_is_right_and_says_what_it_is(house: Any) -> None:
    sent = sent_check(house)
    address = f"/v/larkspur/records/{sent.pk}/sign/"
    page = house.phone.post(address, {"password": "another-password-1"})
    assert "This is not your password" in page.content.decode()
    assert not PhoneSignature.objects.exists()
    for _ in range(2):
        assert house.phone.post(address, {"password": PASSWORD}).status_code == 302
    assert PhoneSignature.objects.get().how == "password"
    said = record_page(house, sent)
    assert "No key signed it: only this book says so" in said
    assert PASSWORD not in LogLine.objects.get(did="sign_check").body


def test_passwords_cannot_be_tried_for_ever(house: Any) -> None:
    sent = sent_check(house)
    pages = [
        house.phone.post(f"/v/larkspur/records/{sent.pk}/sign/", {"password": f"guess-{number}"})
        for number in range(12)
    ]
    assert "Too many passwords were tried" in pages[-1].content.decode()
    house.phone.post(f"/v/larkspur/records/{sent.pk}/sign/", {"password": PASSWORD})
    assert not PhoneSignature.objects.exists()


def test_a_check_that_nobody_signed_says_so_to_everyone_and_offers_it_to_its_maker(
    house: Any,
) -> None:
    sent = sent_check(house)
    assert "Nobody has signed this check." in record_page(house, sent)
    assert "It was sent from a phone under the sign-in of" in record_page(house, sent)
    assert "Sign this check" not in record_page(house, sent)
    assert "Sign this check" in record_page(house, sent, "competent")


def test_a_removed_passkey_signs_no_more_and_what_it_signed_stays(house: Any) -> None:
    first, second = sent_check(house), sent_check(house, task=None, remark="Later.")
    sign(house.phone, first.pk, signature(house, first, house.mine))
    Authenticator.objects.filter(user=house.people["competent"]).delete()
    assert sign(house.phone, second.pk, signature(house, second, house.mine)).status_code == 422
    assert "Signed with the passkey “Phone”" in record_page(house, first)


def test_the_report_says_who_signed_the_check_and_what_that_means(house: Any) -> None:
    signed, bare = sent_check(house), sent_check(house, task=None, remark="Unsigned.")
    sign(house.phone, signed.pk, signature(house, signed, house.mine))
    records = Record.objects.order_by("at")
    said = report_content(house.venue, list(records), timezone.now()).sheets
    by_record = {sheet.record: sheet for sheet in said}
    assert "Signed with the passkey “Phone”" in by_record[str(signed.pk)].signed[0]
    assert by_record[str(signed.pk)].signed_means == (MEANS, MEANS_NOT)
    assert "Nobody has signed this check" in by_record[str(bare.pk)].signed[0]
    page = render_to_string("inspections/report/sheet.html", {"sheet": by_record[str(signed.pk)]})
    assert "Signature of the check" in page
    assert "qualified” electronic signature" in page
