"""A saved check signed with the person's passkey, in Chromium's own virtual authenticator."""

from __future__ import annotations

import json
from typing import Any

import pytest

from inspections.models import KeptAside, PhoneSignature, Record, Sent
from tests.browser.round_on_a_phone import (
    TELLINGS,
    all_is_told,
    fill,
    save,
    take_the_round,
    until,
)
from tests.browser.test_phone_check import no_wider_than_the_screen
from tests.house import PASSWORD
from venue.log_hash import canonical

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

DEVICE = {
    "protocol": "ctap2", "transport": "internal", "hasResidentKey": True,
    "hasUserVerification": True, "isUserVerified": True, "automaticPresenceSimulation": True,
}  # fmt: skip
AGAIN = """async ([check, body]) => {
    const { token } = await (await fetch("/v/larkspur/sync/session/")).json();
    const headers = { "X-CSRFToken": token, "Content-Type": "application/json" };
    const address = `/v/larkspur/sync/checks/${check}/signature/`;
    const answer = await fetch(address, { method: "PUT", body, headers });
    return [answer.status, (await answer.json()).words];
}"""


def with_a_passkey(phone: Any) -> Any:
    page = take_the_round(phone, "competent")
    device = phone.new_cdp_session(page)
    device.send("WebAuthn.enable")
    device.send("WebAuthn.addVirtualAuthenticator", {"options": DEVICE})
    page.goto("/account/2fa/webauthn/add/")
    page.fill("input[name=password]", PASSWORD)  # a new way in asks once more who it is
    page.get_by_role("button", name="Confirm").click()
    page.fill("input[name=name]", "Phone of the test")
    page.get_by_role("button", name="Add it").click()
    page.get_by_text("1 added").or_(
        page.get_by_role("heading", name="Recovery codes")
    ).first.wait_for()
    page.goto("/v/larkspur/round/")
    page.get_by_text("This round is on the phone").wait_for()
    return page


def saved_without_signal(page: Any, phone: Any, house: Any) -> None:
    phone.set_offline(True)
    page.get_by_role("button", name="Start this check").click()
    page.wait_for_url("**/kept/*/")
    fill(page, house)
    save(page)


def test_a_check_is_signed_without_signal_and_the_record_says_what_that_means(
    house: Any, phone: Any
) -> None:
    page = with_a_passkey(phone)
    saved_without_signal(page, phone, house)
    page.get_by_role("button", name="Sign with your passkey").click()
    page.get_by_text("Signed on this phone with your passkey").wait_for()
    assert no_wider_than_the_screen(page)
    left: list[str] = []
    page.on("request", lambda sent: "/signature/" in sent.url and left.append(sent.post_data or ""))
    phone.set_offline(False)
    page.get_by_role("link", name="Back to my round").click()
    until(page, PhoneSignature.objects.exists)
    row, record = PhoneSignature.objects.get(), Record.objects.get()
    assert (row.sent_id, row.by, row.person_verified) == (record.pk, record.by, True)
    page.goto(f"/v/larkspur/records/{record.pk}/")
    said = page.locator("main").inner_text()
    assert "Signed with the passkey “Phone of the test” of" in said
    assert "What the signature means, and what it does not" in said
    message = Sent.objects.get().body
    assert canonical(json.loads(message)) == message
    another_ones_or_other_bytes_are_refused(page, record, left[0])


def another_ones_or_other_bytes_are_refused(page: Any, record: Record, body: str) -> None:
    check = str(record.pk)
    assert page.evaluate(AGAIN, [check, body])[0] == 200  # twice is once
    spoilt = json.loads(body)
    spoilt["response"]["signature"] = spoilt["response"]["signature"][:-6] + "AAAAAA"
    status, words = page.evaluate(AGAIN, [check, json.dumps(spoilt)])
    assert (status, "does not hold" in words) == (422, True)
    of_another = json.loads(body) | {"person": record.by_id + 1}
    assert page.evaluate(AGAIN, [check, json.dumps(of_another)])[0] == 422
    assert page.evaluate(AGAIN, ["0192e3a0-0000-7000-8000-000000000000", body])[0] == 404
    assert PhoneSignature.objects.count() == 1
    assert KeptAside.objects.count() == 2


def test_without_a_passkey_nothing_is_asked_and_the_sign_in_stands_for_it(
    house: Any, phone: Any
) -> None:
    page = take_the_round(phone, "competent")
    saved_without_signal(page, phone, house)
    assert page.get_by_role("button", name="Sign with your passkey").count() == 0
    page.get_by_text("Nobody has signed it yet").wait_for()
    phone.set_offline(False)
    page.get_by_role("link", name="Back to my round").click()
    until(page, Record.objects.exists)
    assert not PhoneSignature.objects.exists()


def test_without_a_passkey_the_password_is_asked_once_it_is_sent_and_the_record_says_so(
    house: Any, phone: Any
) -> None:
    page = take_the_round(phone, "competent")
    saved_without_signal(page, phone, house)
    phone.set_offline(False)
    page.get_by_role("link", name="Back to my round").click()
    until(page, Record.objects.exists)
    page.reload()
    page.get_by_role("link", name="Sign it").click()
    page.get_by_text("Nobody has signed this check").wait_for()
    assert no_wider_than_the_screen(page)
    page.fill("input[name=password]", "another-password-1")
    page.get_by_role("button", name="Sign with the password").click()
    page.get_by_text("This is not your password").first.wait_for()
    assert not PhoneSignature.objects.exists()
    page.fill("input[name=password]", PASSWORD)
    page.get_by_role("button", name="Sign with the password").click()
    page.wait_for_url(f"**/records/{Record.objects.get().pk}/")
    assert PhoneSignature.objects.get().how == "password"
    said = page.locator("main").inner_text()
    assert "No key signed it" in said


COUNTING = """() => {
    const readAll = IDBObjectStore.prototype.getAll;
    window.reads = 0;
    IDBObjectStore.prototype.getAll = function (...asked) {
        window.reads += 1;
        return readAll.apply(this, asked);
    };
}"""
WAITING = """async () => {
    const store = await import("/static/js/phone/store.js");
    return (await store.readAll("outbox")).length;
}"""
MANY = """(times) => new Promise((done) => {
    indexedDB.open("loftbook").onsuccess = ({ target }) => {
        const write = target.result.transaction("receipts", "readwrite");
        const receipts = write.objectStore("receipts");
        receipts.getAll().onsuccess = ({ target: { result: [one] } }) => {
            for (let each = 0; each < times; each += 1) receipts.put({ ...one, id: `${one.id}-${each}` });
        };
        write.oncomplete = () => done(target.result.close());
    };
})"""


def test_what_is_kept_of_many_sent_checks_is_read_as_often_as_of_one(
    house: Any, phone: Any
) -> None:
    page = take_the_round(phone, "competent")
    saved_without_signal(page, phone, house)
    phone.set_offline(False)
    page.get_by_role("link", name="Back to my round").click()
    until(page, Record.objects.exists)
    until(page, lambda: page.evaluate(WAITING) == 0)
    page.add_init_script(f"{TELLINGS}({COUNTING})()")
    reads = []
    for more, unsigned in ((0, 1), (60, 5)):
        page.evaluate(MANY, more)
        page.reload()
        all_is_told(page)
        links = page.get_by_role("link", name="Sign it")
        links.nth(unsigned - 1).wait_for()
        assert links.count() == unsigned
        reads.append(page.evaluate("window.reads"))
    assert reads[1] <= reads[0] + 3
