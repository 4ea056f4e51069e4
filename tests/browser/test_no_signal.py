"""A stagehand below the stage without signal: nothing entered is lost, doubled or misnamed."""

from __future__ import annotations

import json
from typing import Any

import pytest

from inspections.models import Finding, Order, Record, RegimeVersion, Sent, Task
from inspections.regime_files import regimes
from tests.browser.hands import walk_on
from tests.browser.round_on_a_phone import (
    SOUND,
    fill,
    look_it_over,
    save,
    take_the_round,
    until,
    until_kept,
)
from tests.browser.test_phone_check import choose, no_wider_than_the_screen, sign_in

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

# Another write that does not come to its end: no other can begin.
HOLDS_THE_STORE = """() => new Promise((held) => {
    const asked = indexedDB.open("loftbook");
    asked.onsuccess = () => {
        const drafts = asked.result.transaction("drafts", "readwrite").objectStore("drafts");
        const hold = () => { if (!globalThis.letGo) drafts.get("nothing").onsuccess = hold; };
        hold();
        held();
    };
})"""
# Somebody sends, and does not come to an end.
HOLDS_THE_LINE = """() => {
    navigator.locks.request("loftbook-send", () => new Promise((done) => { globalThis.letGo = done; }));
}"""
SENDING_HAS_ENDED = "navigator.locks.request('loftbook-send', () => true)"


def test_a_check_without_signal_is_judged_kept_and_sent_when_the_signal_is_back(
    house: Any, phone: Any
) -> None:
    page = take_the_round(phone, "competent")
    phone.set_offline(True)
    page.reload()
    page.get_by_text("this is the round as it was fetched").wait_for()
    page.get_by_role("button", name="Start this check").click()
    page.wait_for_url("**/kept/*/")
    fill(page, house, broken_lay="6", broken_strand_count="3")
    look_it_over(page)
    assert "limit 6" in page.locator(".check-review").inner_text()
    assert no_wider_than_the_screen(page)
    page.get_by_role("button", name="Save this check").click()
    page.get_by_text("Not sent yet. It is sent by itself").wait_for()
    assert not Record.objects.exists()
    phone.set_offline(False)
    page.get_by_role("link", name="Back to my round").click()
    until(page, Record.objects.exists)
    record = Record.objects.get()
    assert record.by == house.people["competent"]
    assert record.state == "retire"
    assert Sent.objects.get().flags == []
    # Both clocks as the round was fetched, so that a clock changed since then shows.
    said = json.loads(Sent.objects.get().body)
    assert said["pack_served_at"] < record.at.isoformat()
    assert said["pack_phone_at"] < said["saved_at"]
    assert Order.objects.get().what == "out_of_service"


def test_a_check_half_done_comes_back_after_the_page_was_killed(house: Any, phone: Any) -> None:
    page = take_the_round(phone, "competent")
    phone.set_offline(True)
    page.get_by_role("button", name="Start this check").click()
    page.wait_for_url("**/kept/*/")
    fill(page, house)
    until_kept(page)
    where = page.url
    page.close()
    again = phone.new_page()
    again.goto(where)
    again.get_by_text("Question 1 of 2").wait_for()
    kept = again.input_value(f'[name="running_rope.{house.rope.pk}:dia_1_a"]')
    assert kept == "0.26 in"
    walk_on(again, "Next")
    save(again)
    phone.set_offline(False)
    again.goto("/v/larkspur/round/")
    until(again, Record.objects.exists)
    assert Record.objects.get().state == "fit"
    assert Task.objects.get(pk=house.plan.tasks.first().pk).state == Task.State.DONE


def test_an_answer_is_called_kept_only_once_it_is_on_the_disk(house: Any, phone: Any) -> None:
    page = take_the_round(phone, "competent")
    page.get_by_role("button", name="Start this check").click()
    page.wait_for_url("**/kept/*/")
    page.get_by_text("Question 1 of 2").wait_for()
    page.evaluate(HOLDS_THE_STORE)
    first = f'[name="running_rope.{house.rope.pk}:dia_1_a"]'
    page.fill(first, "0.26 in")
    page.get_by_text("Being kept…").wait_for()
    assert page.get_by_text("Kept on this phone").count() == 0
    page.evaluate("globalThis.letGo = true")
    page.get_by_text("Kept on this phone").wait_for()
    until_kept(page)
    page.reload()
    page.get_by_text("Question 1 of 2").wait_for()
    assert page.input_value(first) == "0.26 in"


def test_a_check_saved_while_something_is_sent_goes_after_it_and_its_page_says_so(
    house: Any, phone: Any
) -> None:
    page = take_the_round(phone, "competent")
    page.get_by_role("button", name="Start this check").click()
    page.wait_for_url("**/kept/*/")
    fill(page, house)
    page.evaluate(HOLDS_THE_LINE)
    page.wait_for_function("() => Boolean(globalThis.letGo)")
    save(page)
    page.get_by_text("Not sent yet. It is sent by itself").wait_for()
    assert not Record.objects.exists()
    page.evaluate("globalThis.letGo()")
    page.get_by_text("Sent: it stands in the book.").wait_for()
    page.get_by_role("link", name="Sign with your password").wait_for()
    assert Record.objects.get().state == "fit"


def test_an_answer_tapped_by_mistake_is_taken_back_and_what_it_said_goes_with_it(
    house: Any, phone: Any
) -> None:
    page = take_the_round(phone, "competent")
    phone.set_offline(True)
    page.get_by_role("button", name="Start this check").click()
    page.wait_for_url("**/kept/*/")
    rope = f"running_rope.{house.rope.pk}"
    question, undo = (
        page.locator(f'[data-question="{rope}"]'),
        page.get_by_role("button", name="Undo"),
    )
    page.get_by_text("Question 1 of 2").wait_for()
    assert not undo.is_visible(), "nothing is there to take back"
    for name, value in SOUND.items():
        page.fill(f'[name="{rope}:{name}"]', value)
    choose(page, f"{rope}:looked", "yes")
    question.locator('[data-verdict][data-state="fit"]').wait_for()
    page.locator(f'[name="{rope}:broken_lay"]').fill("60")
    question.locator('[data-verdict][data-state="retire"]').wait_for()
    assert no_wider_than_the_screen(page)
    undo.click()
    assert page.input_value(f'[name="{rope}:broken_lay"]') == "0"
    question.locator('[data-verdict][data-state="fit"]').wait_for()
    while undo.is_visible():
        undo.click()
    assert page.input_value(f'[name="{rope}:dia_1_a"]') == ""
    assert question.locator('[data-verdict][data-state="fit"]').count() == 0
    page.get_by_role("button", name="Next", exact=True).click()
    page.get_by_text("Answer this question first.").wait_for()
    page.get_by_text("Question 1 of 2").wait_for()
    until_kept(page)
    where = page.url
    page.close()
    again = phone.new_page()
    again.goto(where)
    again.get_by_text("Question 1 of 2").wait_for()
    assert again.input_value(f'[name="{rope}:dia_1_a"]') == "", "taken back on the disk as well"


def test_a_check_before_use_is_done_without_signal_and_its_questions_are_frozen_as_it_arrives(
    house: Any, phone: Any
) -> None:
    page = take_the_round(phone, "stagehand")
    phone.set_offline(True)
    page.reload()
    page.get_by_role("button", name="W1 Winch before use").click()
    page.wait_for_url("**/kept/use/*/winch_before_use/")
    asked = len(regimes()["winch_before_use"].checks)
    for number in range(1, asked + 1):
        page.get_by_text(f"Question {number} of {asked}").wait_for()
        question = page.locator("[data-question]:visible")
        if regimes()["winch_before_use"].checks[number - 1].answer == "yes_no":
            question.get_by_text("Yes", exact=True).click()
        else:
            question.get_by_text("Could not look", exact=True).click()
            question.get_by_label("Why").fill("No load today")
        if number < asked:
            walk_on(page, "Next")
    save(page)
    assert not RegimeVersion.objects.filter(slug="winch_before_use").exists()
    phone.set_offline(False)
    page.get_by_role("link", name="Back to my round").click()
    until(page, Record.objects.exists)
    record = Record.objects.get()
    assert (record.task, record.version.slug, record.state) == (
        None, "winch_before_use", "cannot be decided",
    )  # fmt: skip


def test_out_of_service_without_signal_bites_here_at_once_and_there_when_it_arrives(
    house: Any, phone: Any
) -> None:
    page = take_the_round(phone, "stagehand")
    phone.set_offline(True)
    page.goto("/v/larkspur/t/W1/")
    page.get_by_role("link", name="Take out of service").click()
    page.get_by_role("button", name="Noise or jerk").click()
    page.get_by_text("Out of service on this phone. Not sent yet").wait_for()
    page.get_by_role("button", name="Close").click()
    page.locator(".banner-out").wait_for()
    page.reload()
    page.locator(".banner-out").wait_for()
    assert not Order.objects.exists()
    phone.set_offline(False)
    page.reload()
    until(page, Order.objects.exists)
    order = Order.objects.get()
    assert (order.by, order.why) == (house.people["stagehand"], "Noise or jerk")
    assert Finding.objects.count() == 1


def test_with_the_session_ended_the_queue_is_kept_and_stays_in_its_persons_name(
    house: Any, phone: Any
) -> None:
    page = take_the_round(phone, "competent")
    phone.set_offline(True)
    page.get_by_role("button", name="Start this check").click()
    page.wait_for_url("**/kept/*/")
    fill(page, house)
    save(page)
    phone.clear_cookies()
    phone.set_offline(False)
    page.goto("/v/larkspur/round/")
    page.get_by_text("Sign in to send them").wait_for()
    assert not Record.objects.exists()
    other = phone.new_page()
    with other.expect_response("**/sync/session/"):
        sign_in(other, "stagehand", "/v/larkspur/house/")
    other.evaluate(SENDING_HAS_ENDED)
    assert not Record.objects.exists()
    phone.clear_cookies()
    sign_in(other, "competent", "/v/larkspur/house/")
    until(other, Record.objects.exists)
    assert Record.objects.get().by == house.people["competent"]


def test_the_files_of_an_older_release_go_when_the_round_is_whole(house: Any, phone: Any) -> None:
    page = take_the_round(phone, "competent")
    page.evaluate("caches.open('loftbook-shell-older').then(() => true)")
    page.reload()
    page.get_by_text("This round is on the phone").wait_for()
    shells = page.evaluate(
        "caches.keys().then((names) => names.filter((name) => name.includes('shell')))"
    )
    assert len(shells) == 1
    assert "older" not in shells[0]
