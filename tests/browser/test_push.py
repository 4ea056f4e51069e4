"""Messages on a phone, in a real browser: asked for by a tap, shown by the worker, taken back.

No browser here can reach its maker's service, so what `subscribe` would give is put in its place, with
the keys of a browser of the tests. All the rest is real: the permission, the page, the server, what it
sends to a push service on loopback, and what the worker does with what was in it."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.utils import timezone
from pytest_django import Settings

from inspections.actions.push_devices import allow_device
from inspections.actions.push_messages import push_messages
from inspections.models import MessageChoice, PushDevice, Record, Task
from tests.browser.hands import walk_on
from tests.browser.round_on_a_phone import fill, save, take_the_round, until, until_kept
from tests.browser.test_accessibility import RUN, SCRIPT, TAGS
from tests.browser.test_phone_check import no_wider_than_the_screen, sign_in
from tests.push_service import CONTACT, KEY, Browser, PushService, push_service

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PAGE = "/v/larkspur/messages/"
SUBSCRIPTION = """
const given = GIVEN;
const wrapped = () => ({
  endpoint: given.endpoint,
  toJSON: () => ({ endpoint: given.endpoint, keys: { p256dh: given.p256dh, auth: given.auth } }),
  unsubscribe: async () => {
    localStorage.setItem("unsubscribed", given.endpoint);
    localStorage.removeItem("subscribed");
    return true;
  },
});
PushManager.prototype.getSubscription = async () => (localStorage.getItem("subscribed") ? wrapped() : null);
PushManager.prototype.subscribe = async (asked) => {
  if (FAILS) throw new DOMException("Registration failed - push service error", "AbortError");
  localStorage.setItem("subscribed", JSON.stringify(asked));
  return wrapped();
};
"""


@pytest.fixture(autouse=True)
def _switched_on(settings: Settings) -> None:
    settings.LOFTBOOK_PUSH, settings.LOFTBOOK_PUSH_KEY = True, KEY
    settings.LOFTBOOK_PUSH_CONTACT = CONTACT


@pytest.fixture
def service(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[PushService]:
    with push_service(tmp_path, monkeypatch) as service:
        yield service


@pytest.fixture
def browser(phone: Any) -> Browser:
    """The phone, which its person lets show messages, and which subscribes with these keys."""
    made = Browser("phone")
    subscribes(phone, made)
    phone.grant_permissions(["notifications"])
    return made


def subscribes(phone: Any, made: Browser, *, fails: bool = False) -> None:
    script = SUBSCRIPTION.replace("GIVEN", json.dumps(made.given))
    phone.add_init_script("{" + script.replace("FAILS", json.dumps(fails)) + "}")


def shown(page: Any) -> list[str]:
    return [
        line.inner_text() for line in page.locator("[data-push-says]").all() if line.is_visible()
    ]


def says(page: Any, words: str) -> None:
    page.get_by_text(words).wait_for()
    assert len(shown(page)) == 1


def open_messages(phone: Any, who: str = "stagehand") -> Any:
    page = phone.new_page()
    sign_in(page, who, PAGE)
    return page


# Chromium drops from its store whatever is not on the screen when somebody asks which notifications stand,
# even one that is still on its way there. So no test asks before the worker has shown it.
COUNTS_THE_SHOWN = """() => {
    if (self.shown !== undefined) return;
    self.shown = 0;
    const show = registration.showNotification.bind(registration);
    registration.showNotification = async (...given) => { await show(...given); self.shown += 1; };
}"""


def arrives(page: Any, words: str) -> None:
    """What the service hands to the browser, once decrypted, till it is shown."""
    session = page.context.new_cdp_session(page)
    found: list[str] = []
    session.on(
        "ServiceWorker.workerRegistrationUpdated",
        lambda told: found.extend(each["registrationId"] for each in told["registrations"]),
    )
    session.send("ServiceWorker.enable")
    until(page, lambda: bool(found) and bool(page.context.service_workers))
    (worker,) = page.context.service_workers
    worker.evaluate(COUNTS_THE_SHOWN)
    before = worker.evaluate("self.shown")
    origin = page.evaluate("location.origin")
    session.send(
        "ServiceWorker.deliverPushMessage",
        {"origin": origin, "registrationId": found[0], "data": words},
    )
    until(page, lambda: worker.evaluate("self.shown") > before)


NOTIFICATIONS = """async () => {
    const all = await (await navigator.serviceWorker.ready).getNotifications();
    return all.map(({ title, body, tag, data, actions }) =>
        ({ title, body, tag, data, actions: actions.map((each) => each.action) }));
}"""


def notifications(page: Any, count: int = 1) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = []

    def stand() -> bool:
        found[:] = page.evaluate(NOTIFICATIONS)
        return len(found) == count

    until(page, stand)
    return found


def test_a_message_is_allowed_by_a_tap_sent_shown_and_opened(
    house: Any, phone: Any, browser: Browser, service: PushService
) -> None:
    page = open_messages(phone)
    says(page, "Not on this device.")
    assert page.evaluate("localStorage.getItem('subscribed')") is None  # nothing without a tap
    page.get_by_role("button", name="Allow messages on this device").click()
    says(page, "Allowed on this device.")
    assert not page.get_by_role("button", name="Allow messages on this device").is_visible()
    asked = json.loads(page.evaluate("localStorage.getItem('subscribed')"))
    row = PushDevice.objects.get()
    assert (row.person, row.endpoint) == (house.people["stagehand"], browser.endpoint)
    assert asked == {"userVisibleOnly": True, "applicationServerKey": row.asked_with}
    page.get_by_label("The daily message comes").select_option(label="By mail and on my devices")
    with page.expect_navigation():
        page.get_by_role("button", name="Save").click()
    page.get_by_text("Kept. The next").wait_for()
    assert MessageChoice.objects.get().daily_by == "both"
    assert no_wider_than_the_screen(page)

    task = house.plan.tasks.first()
    late = {
        "planned_on": task.planned_on - timedelta(days=9),
        "last_lawful_on": task.planned_on - timedelta(days=2),
    }
    Task.objects.filter(pk=task.pk).update(person=house.people["stagehand"], **late)
    at = timezone.now().replace(hour=12)
    assert push_messages(at=at) == 1
    arrives(page, browser.reads(service.taken[0].body).decode())
    (note,) = notifications(page)
    assert (note["title"], note["body"]) == ("Larkspur", "What is yours: 1 late")
    assert (note["tag"], note["actions"]) == ("daily larkspur", ["stop"])
    assert opened(page, "") == "/v/larkspur/messages/now/daily/"
    notifications(page, 0)  # it was taken from the screen
    arrives(page, browser.reads(service.taken[0].body).decode())
    notifications(page)
    assert opened(page, "stop").startswith("/messages/stop/")
    page.goto(note["data"]["url"])
    page.get_by_role("heading", name="Late, and yours").wait_for()
    page.get_by_role("link", name="Messages", exact=True).last.click()
    page.wait_for_url(f"**{PAGE}")


def opened(page: Any, action: str) -> str:
    """Where a tap on the notification leads. No test can make the tap itself, by which alone a worker
    may open a window, so the event is made and the opening is written down."""
    (worker,) = page.context.service_workers
    address: str = worker.evaluate(
        """async (action) => {
            const [notification] = await registration.getNotifications();
            const opened = new Promise((done) => { clients.openWindow = async (address) => done(address); });
            dispatchEvent(new NotificationEvent("notificationclick", { notification, action }));
            return new URL(await opened).pathname;
        }""",
        action,
    )
    return address


def test_whatever_is_in_it_no_other_site_is_opened(
    house: Any, phone: Any, browser: Browser
) -> None:
    page = open_messages(phone)
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    for number, url in enumerate(
        ("https://example.org/v/x/", "javascript:alert(1)", "//example.org/x")
    ):
        told = {"title": "x", "tag": "same", "data": {"url": url, "stop": url}}
        arrives(page, json.dumps({**told, "body": str(number)}))
        until(page, lambda wanted=str(number): notifications(page)[0]["body"] == wanted)
        assert opened(page, "") == "/"
        notifications(page, 0)


def test_a_later_message_takes_the_place_of_an_earlier_one(
    house: Any, phone: Any, browser: Browser
) -> None:
    page = open_messages(phone)
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    for body in ("1 late", "2 late"):
        arrives(page, json.dumps({"title": "The Larkspur", "body": body, "tag": "daily larkspur"}))
        until(page, lambda body=body: notifications(page)[0]["body"] == body)  # type: ignore[misc]
    arrives(page, json.dumps({"title": "The Larkspur", "body": "3 late", "tag": "weekly larkspur"}))
    assert len(notifications(page, 2)) == 2


def test_a_message_that_comes_while_a_check_is_filled_without_signal_disturbs_nothing(
    house: Any, phone: Any, browser: Browser
) -> None:
    page = take_the_round(phone, "competent")
    phone.set_offline(True)
    page.get_by_role("button", name="Start this check").click()
    page.wait_for_url("**/kept/*/")
    arrives(
        page,
        json.dumps({"title": "The Larkspur", "body": "1 late", "tag": "x", "data": {"url": "/"}}),
    )
    assert notifications(page)[0]["body"] == "1 late"
    where = page.url
    fill(page, house)
    until_kept(page)
    page.reload()
    page.get_by_text("Question 1 of 2").wait_for()
    assert page.input_value(f'[name="running_rope.{house.rope.pk}:dia_1_a"]') == "0.26 in"
    assert page.url == where
    walk_on(page, "Next")
    save(page)
    phone.set_offline(False)
    page.goto("/v/larkspur/round/")
    until(page, Record.objects.exists)
    assert Record.objects.get().state == "fit"


def test_removing_this_device_tells_its_browser_too(
    house: Any, phone: Any, browser: Browser
) -> None:
    page = open_messages(phone)
    page.get_by_role("button", name="Allow messages on this device").click()
    says(page, "Allowed on this device.")
    page.evaluate(SCRIPT)
    assert page.evaluate(RUN, [{"runOnly": {"type": "tag", "values": TAGS}}, None]) == []
    page.get_by_role("button", name="Remove").click()
    says(page, "Not on this device.")
    assert page.evaluate("localStorage.getItem('unsubscribed')") == browser.endpoint
    assert not PushDevice.objects.exists()
    assert page.get_by_role("button", name="Allow messages on this device").is_visible()


def test_signing_out_ends_it_on_this_device(house: Any, phone: Any, browser: Browser) -> None:
    page = open_messages(phone)
    page.get_by_role("button", name="Allow messages on this device").click()
    says(page, "Allowed on this device.")
    page.goto("/account/logout/")
    page.locator("form[data-sign-out] button").click()
    page.wait_for_url("**/account/login/**")
    assert page.evaluate("localStorage.getItem('unsubscribed')") == browser.endpoint


def test_a_phone_in_other_hands_gets_no_more_for_the_one_before(
    house: Any, phone: Any, browser: Browser
) -> None:
    page = open_messages(phone)
    page.get_by_role("button", name="Allow messages on this device").click()
    says(page, "Allowed on this device.")
    page.reload()  # in the same hands it stays
    says(page, "Allowed on this device.")
    assert page.evaluate("localStorage.getItem('unsubscribed')") is None
    phone.clear_cookies()
    sign_in(page, "competent", PAGE)
    until(page, lambda: page.evaluate("localStorage.getItem('unsubscribed')") == browser.endpoint)


def test_what_another_person_allowed_on_this_browser_is_not_taken_for_ones_own(
    house: Any, phone: Any, browser: Browser
) -> None:
    allow_device(
        person=house.people["manager"], agent="", at=timezone.now(), **browser.given
    )  # fmt: skip
    phone.add_init_script("localStorage.setItem('subscribed', '{}')")
    page = open_messages(phone)
    says(page, "Not on this device.")


def test_a_service_that_does_not_answer_is_said_and_may_be_tried_again(
    house: Any, phone: Any
) -> None:
    subscribes(phone, Browser("phone"), fails=True)
    phone.grant_permissions(["notifications"])
    page = open_messages(phone)
    page.get_by_role("button", name="Allow messages on this device").click()
    says(page, "The service of the browser’s maker did not answer")
    assert page.get_by_role("button", name="Allow messages on this device").is_enabled()
    assert not PushDevice.objects.exists()


def test_a_browser_that_was_told_no_is_not_asked_again(house: Any, phone: Any) -> None:
    phone.add_init_script(
        "Object.defineProperty(Notification, 'permission', { get: () => 'denied' });"
        "Notification.requestPermission = () => { localStorage.setItem('asked', 'yes'); };"
    )
    page = open_messages(phone)
    says(page, "Not allowed by the browser")
    assert not page.get_by_role("button", name="Allow messages on this device").is_visible()
    assert page.evaluate("localStorage.getItem('asked')") is None


def test_a_browser_that_has_no_push_says_what_it_takes(house: Any, phone: Any) -> None:
    phone.add_init_script("delete globalThis.PushManager")
    page = open_messages(phone)
    says(page, "This browser does not offer it here.")
    assert not page.get_by_role("button", name="Allow messages on this device").is_visible()


def test_without_script_the_page_says_what_it_takes(house: Any, tab: Callable[..., Any]) -> None:
    page = tab({"width": 390, "height": 844}, script=False)
    sign_in(page, "stagehand", PAGE)
    says(page, "To allow it on this device the browser must run scripts.")
    assert not page.get_by_role("button", name="Allow messages on this device").is_visible()
