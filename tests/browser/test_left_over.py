"""What will not go from a phone by itself is offered, shown and put away; never lost unseen."""

from __future__ import annotations

from typing import Any

import pytest

from inspections.models import Plan, Record, RegimeVersion
from tests.browser.hands import afresh
from tests.browser.round_on_a_phone import (
    TELLINGS,
    TURNS,
    all_is_told,
    fill,
    save,
    take_the_round,
    until,
    until_kept,
)
from tests.browser.test_phone_check import no_wider_than_the_screen

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

DRAFTS = """async () => {
    const store = await import("/static/js/phone/store.js");
    const drafts = await store.readAll("drafts");
    return drafts.map((each) => [Boolean(each.put_away), Object.keys(each.answers).length]);
}"""
REFUSED = """async (person) => {
    const store = await import("/static/js/phone/store.js");
    const both = { person, venue: "larkspur" };
    const trouble = "It is no picture.";
    const row = { ...both, check: "c", sha256: "d", question: "q", blob: new Blob(["x"]), trouble };
    const kept = { tag: "W1", title: "Ropes", what: "check", saved_at: "2020-01-01" };
    const receipt = { ...both, ...kept, id: "c", said: {} };
    await store.write(["photographs", "receipts"], ({ photographs, receipts }) => {
        photographs.put(row);
        receipts.put(receipt);
    });
}"""
PHOTOGRAPHS = """async () => {
    const store = await import("/static/js/phone/store.js");
    return (await store.readAll("photographs")).length;
}"""

# Of half a year ago but for one: alone, with a photograph that waits, of a draft, pressed out, its signature.
RECEIPTS = """async (person) => {
    const store = await import("/static/js/phone/store.js");
    const [both, at] = [{ person, venue: "larkspur" }, "2020-01-01T00:00:00.000Z"];
    const old = { ...both, what: "check", at, tag: "W1", title: "Ropes", said: {} };
    const photo = { check: "pictured", sha256: "d", question: "q", blob: new Blob(["x"]) };
    await store.write(["receipts", "photographs", "drafts", "facts"], ({ receipts, photographs, drafts, facts }) => {
        for (const id of ["alone", "pictured", "begun", "pressed"]) receipts.put({ ...old, id });
        receipts.put({ ...old, id: "its signature", what: "signature", check: "pictured" });
        receipts.put({ ...old, id: "of today", at: new Date().toISOString() });
        photographs.put({ ...both, ...photo, trouble: "It is no picture." });
        drafts.put({ id: "begun", person, answers: {} });
        facts.put({ name: "out:7", value: { id: "pressed" } });
    });
}"""
KEPT_RECEIPTS = """async () => {
    const store = await import("/static/js/phone/store.js");
    return (await store.readAll("receipts")).map(({ id }) => id).sort();
}"""
COUNT_READS = """() => {
    const all = IDBObjectStore.prototype.getAll;
    globalThis.reads = 0;
    IDBObjectStore.prototype.getAll = function (...asked) {
        globalThis.reads += this.name === "receipts";
        return all.apply(this, asked);
    };
}"""
OUTBOX = """async () => {
    const store = await import("/static/js/phone/store.js");
    return (await store.readAll("outbox")).length;
}"""
PAGES = """async () => {
    const pages = await caches.open("loftbook-pages");
    return (await pages.keys()).length;
}"""


def begin_a_check(page: Any, house: Any) -> None:
    page.get_by_role("button", name="Start this check").click()
    page.wait_for_url("**/kept/*/")
    fill(page, house)
    until_kept(page)


def replace_the_questions() -> None:
    plan = Plan.objects.get()
    version = plan.version
    fresh = {"slug": version.slug, "title": version.title, "body": version.body}
    plan.version = RegimeVersion.objects.create(
        hash="f" * 64, first_used=version.first_used, **fresh
    )
    plan.save()


def test_what_was_answered_before_the_questions_changed_is_shown_until_the_check_is_saved(
    house: Any, phone: Any
) -> None:
    page = take_the_round(phone, "competent")
    begin_a_check(page, house)
    replace_the_questions()
    afresh(page.reload)
    page.get_by_role("heading", name="The questions have changed since").wait_for()
    assert page.locator("form[data-check]").is_hidden()
    assert "dia 1 a: 0.26 in" in page.locator(".older-answers").inner_text()
    assert no_wider_than_the_screen(page)
    page.get_by_role("button", name="Start again").click()
    assert page.input_value(f'[name="running_rope.{house.rope.pk}:dia_1_a"]') == ""
    assert "dia 1 a: 0.26 in" in page.locator(".older-answers").inner_text()
    fill(page, house)
    save(page)
    assert page.evaluate(DRAFTS) == [[True, 2]]
    until(page, Record.objects.exists)
    assert Record.objects.get().version.hash == "f" * 64


def test_what_was_answered_before_is_put_away_and_stays_on_the_phone(
    house: Any, phone: Any
) -> None:
    page = take_the_round(phone, "competent")
    begin_a_check(page, house)
    replace_the_questions()
    afresh(page.reload)
    page.get_by_role("button", name="Put it away").click()
    page.get_by_text("Question 1 of 2").wait_for()
    page.reload()
    page.get_by_text("Question 1 of 2").wait_for()
    assert page.locator(".older").count() == 0
    assert [True, 2] in page.evaluate(DRAFTS)


def test_a_check_begun_of_a_task_that_is_no_more_on_the_round_is_told_there(
    house: Any, phone: Any
) -> None:
    page = take_the_round(phone, "competent")
    begin_a_check(page, house)
    house.plan.tasks.update(state="cancelled", closed_why="Sold.")
    page.goto("/v/larkspur/round/")
    line = page.get_by_role("listitem").filter(has_text="and not finished")
    line.wait_for()
    assert "W1" in line.inner_text()
    line.get_by_text("What you answered").click()
    assert "0.26 in" in line.inner_text()
    line.get_by_role("button", name="Put it away").click()
    line.get_by_role("button", name="Really put it away").click()
    line.wait_for(state="detached")
    assert page.evaluate(DRAFTS) == [[True, 2]]


def test_a_photograph_the_server_refused_goes_only_by_a_second_tap(house: Any, phone: Any) -> None:
    page = take_the_round(phone, "competent")
    page.evaluate(REFUSED, house.people["competent"].pk)
    page.reload()
    line = page.get_by_role("listitem").filter(has_text="It is no picture.")
    line.get_by_role("button", name="Delete it from this phone").click()
    assert page.evaluate(PHOTOGRAPHS) == 1
    line.get_by_role("button", name="Really delete it").click()
    line.wait_for(state="detached")
    assert page.evaluate(PHOTOGRAPHS) == 0


def test_receipts_go_after_months_unless_something_leans_on_them_and_are_read_once(
    house: Any, phone: Any
) -> None:
    page = take_the_round(phone, "competent")
    page.evaluate(RECEIPTS, house.people["competent"].pk)
    page.add_init_script(TELLINGS)
    page.reload()
    all_is_told(page)
    kept = ["begun", "its signature", "of today", "pictured", "pressed"]
    assert page.evaluate(KEPT_RECEIPTS) == kept
    page.evaluate(COUNT_READS)
    page.evaluate("document.dispatchEvent(new Event('outbox-told'))")
    page.evaluate(TURNS)
    page.get_by_text("It is no picture.").wait_for()
    assert page.evaluate("globalThis.reads") == 1


def test_signing_out_takes_the_kept_pages_and_no_check(house: Any, phone: Any) -> None:
    page = take_the_round(phone, "competent")
    begin_a_check(page, house)
    phone.set_offline(True)
    save_in_the_outbox(page)
    phone.set_offline(False)
    phone.route("**/sync/**", lambda route: route.abort())
    page.goto("/account/logout/")
    page.get_by_role("button", name="Sign out").click()
    page.wait_for_url("**/account/login/**")
    assert page.evaluate(PAGES) == 0
    assert page.evaluate(OUTBOX) == 1


def save_in_the_outbox(page: Any) -> None:
    save(page)
    page.get_by_text("Not sent yet. It is sent by itself").wait_for()


def test_without_signal_nobody_is_signed_out_and_the_pages_stay(house: Any, phone: Any) -> None:
    page = take_the_round(phone, "competent")
    page.goto("/account/logout/")
    phone.set_offline(True)
    page.get_by_role("button", name="Sign out").click()
    page.get_by_text("You are not signed out").wait_for()
    assert page.evaluate(PAGES) == 5
