"""A voice note and a drawn signature on a phone without signal: kept at once, sent once, whole."""

from __future__ import annotations

import io
import json
import re
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from PIL import Image

from inspections.models import CheckFile, Record
from tests.browser.hands import walk_on
from tests.browser.round_on_a_phone import fill, look_it_over, take_the_round, until, until_kept
from tests.browser.test_accessibility import findings
from tests.browser.test_phone_check import no_wider_than_the_screen
from venue.file_store import path_of

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

KEPT_ALONG = """() => new Promise((done) => {
    const asked = indexedDB.open("loftbook");
    asked.onsuccess = () => {
        const rows = asked.result.transaction("photographs").objectStore("photographs").getAll();
        rows.onsuccess = () => {
            asked.result.close();
            done(rows.result.map(({ what, sha256 }) => ({ what, sha256 })));
        };
    };
})"""
# The page's clock stands still, and is put on by hand: `globalThis.ahead`, in milliseconds.
CLOCK_IN_HAND = """() => {
    const stands = performance.now();
    globalThis.ahead = 0;
    performance.now = () => stands + globalThis.ahead;
}"""
# Whether a sound was really begun, however short it is.
PLAYED = """() => {
    const play = HTMLMediaElement.prototype.play;
    HTMLMediaElement.prototype.play = async function () {
        await play.call(this);
        globalThis.played = true;
    };
}"""


@pytest.fixture
def speaking_phone(phone: Any) -> Any:
    """One whose microphone is allowed; it hears a beep."""
    phone.grant_permissions(["microphone"])
    return phone


def begin(phone: Any) -> Any:
    page = take_the_round(phone, "competent")
    phone.set_offline(True)
    page.get_by_role("button", name="Start this check").click()
    page.wait_for_url("**/kept/*/")
    page.get_by_text("Question 1 of 2").wait_for()
    return page


def voice_box(page: Any, question: str = "") -> Any:
    if not question:
        return page.locator(".check-review .voice")
    return page.locator(f'[data-question="{question}"] .voice')


def speak(page: Any, box: Any, milliseconds: int = 1200) -> None:
    if not box.evaluate("(box) => box.open"):
        box.locator("summary").click()
    box.get_by_role("button", name="Record").click()
    box.get_by_text("s left", exact=False).first.wait_for()
    page.wait_for_timeout(milliseconds)
    box.get_by_role("button", name="Stop").click()
    box.get_by_text("Kept on this phone").wait_for()


def draw(page: Any, *points: tuple[float, float]) -> None:
    canvas = page.locator("canvas.drawing")
    canvas.scroll_into_view_if_needed()
    seen = canvas.bounding_box()
    places = [(seen["x"] + x * seen["width"], seen["y"] + y * seen["height"]) for x, y in points]
    page.mouse.move(*places[0])
    page.mouse.down()
    for place in places[1:]:
        page.mouse.move(*place, steps=4)
    page.mouse.up()


def save(page: Any) -> None:
    page.get_by_role("button", name="Save this check").click()
    page.get_by_text("Saved on this phone").wait_for()


def sent_when_there_is_signal(page: Any, phone: Any, number: int) -> list[bytes]:
    """The bytes as they left the phone; a page that is left while it sends is begun anew by the next
    page, so the same bytes may leave twice (the server stores them once)."""
    left: list[bytes] = []

    def pass_on(route: Any) -> None:
        left.append(route.request.post_data_buffer)
        route.continue_()

    phone.route("**/along/**", pass_on)
    phone.set_offline(False)
    page.get_by_role("link", name="Back to my round").click()
    until(page, lambda: CheckFile.objects.count() == number)
    until(page, lambda: page.evaluate(KEPT_ALONG) == [])
    apart = list(dict.fromkeys(left))
    assert len(apart) == number
    return apart


def stored(row: CheckFile) -> bytes:
    return path_of(Path(settings.LOFTBOOK_FILES), row.kept_file.sha256).read_bytes()


def test_a_voice_note_without_signal_is_kept_at_once_and_stored_once_byte_for_byte(
    house: Any, speaking_phone: Any
) -> None:
    page, key = begin(speaking_phone), f"running_rope.{house.rope.pk}"
    speak(page, voice_box(page, key))
    assert [each["what"] for each in page.evaluate(KEPT_ALONG)] == ["voice"]
    assert no_wider_than_the_screen(page)
    page.reload()  # it comes back with the check
    box = voice_box(page, key)
    box.get_by_text(re.compile(r"Voice note, \d+ s")).wait_for()  # as long as the machine let it be
    page.evaluate(PLAYED)
    listen = box.get_by_role("button", name="Listen")
    listen.click()
    page.wait_for_function("() => globalThis.played")  # the policy lets it play
    listen.wait_for()
    fill(page, house)
    look_it_over(page)
    assert "One voice note" in page.locator(".check-review").inner_text()
    speak(page, voice_box(page))
    page.locator(".drawn summary").click()
    assert list(findings(page, "phone", True)) == []
    save(page)
    assert not CheckFile.objects.exists()
    left = sent_when_there_is_signal(page, speaking_phone, 2)
    rows = CheckFile.objects.order_by("pk")
    assert [row.question for row in rows] == [key, ""]
    assert [stored(row) for row in rows] == left
    record = Record.objects.get()
    named = [each["sha256"] for each in json.loads(record.body)["along"]]
    assert named == [sha256(each).hexdigest() for each in left]
    assert {row.kept_file.media_type for row in rows} == {"audio/webm"}
    page.goto(f"/v/larkspur/records/{record.pk}/")
    plays = page.locator("audio").first.evaluate(
        "(sound) => { sound.muted = true; return sound.play().then(() => sound.readyState >= 2); }"
    )
    assert plays
    assert list(findings(page, "phone", True)) == []
    assert no_wider_than_the_screen(page)


def test_what_was_thrown_away_comes_back_by_undo_and_else_never_leaves_the_phone(
    house: Any, speaking_phone: Any
) -> None:
    page, key = begin(speaking_phone), f"running_rope.{house.rope.pk}"
    box = voice_box(page, key)
    for _ in range(2):
        speak(page, box)
    for number in (1, 2):
        box.get_by_role("button", name="Throw away").first.click()
        box.get_by_text("Thrown away.").nth(number - 1).wait_for()
    undo = box.get_by_role("button", name="Undo")
    undo.nth(1).wait_for()
    assert undo.last.evaluate("(button) => button === document.activeElement")
    undo.first.press("Enter")
    box.get_by_role("button", name="Listen").wait_for()
    assert box.get_by_role("button", name="Undo").count() == 1
    fill(page, house)
    look_it_over(page)
    save(page)
    assert len(page.evaluate(KEPT_ALONG)) == 1
    sent_when_there_is_signal(page, speaking_phone, 1)
    until(page, Record.objects.exists)
    assert len(json.loads(Record.objects.get().body)["along"]) == 1


def test_whoever_goes_on_while_speaking_has_what_was_said_until_then(
    house: Any, speaking_phone: Any
) -> None:
    page, key = begin(speaking_phone), f"running_rope.{house.rope.pk}"
    fill(page, house)  # the second question is shown
    box = voice_box(page, f"rope_identified.{house.rope.pk}")
    box.locator("summary").click()
    box.get_by_role("button", name="Record").click()
    box.get_by_text("s left").first.wait_for()
    page.wait_for_timeout(700)
    page.get_by_role("button", name="Back", exact=True).click()
    until(page, lambda: len(page.evaluate(KEPT_ALONG)) == 1)
    walk_on(page, "Next")
    assert voice_box(page, key).get_by_role("button", name="Listen").count() == 0
    look_it_over(page)
    whole = voice_box(page)
    whole.locator("summary").click()
    whole.get_by_role("button", name="Record").click()
    whole.get_by_text("s left").first.wait_for()
    page.wait_for_timeout(700)
    save(page)  # still speaking
    assert len(page.evaluate(KEPT_ALONG)) == 2
    sent_when_there_is_signal(page, speaking_phone, 2)


def test_a_microphone_that_is_allowed_after_the_check_was_saved_hears_nothing(
    house: Any, speaking_phone: Any
) -> None:
    page = begin(speaking_phone)
    fill(page, house)
    look_it_over(page)
    page.evaluate(
        """() => {
            const ask = navigator.mediaDevices.getUserMedia.bind(navigator.mediaDevices);
            globalThis.streams = [];
            navigator.mediaDevices.getUserMedia = async (what) => {
                await new Promise((allowed) => { globalThis.allow = allowed; });
                const stream = await ask(what);
                globalThis.streams.push(stream);
                return stream;
            };
        }"""
    )
    box = voice_box(page)
    box.locator("summary").click()
    for _ in range(2):
        box.get_by_role("button", name="Record").click()
    save(page)
    page.evaluate("globalThis.allow()")
    until(page, lambda: page.evaluate("globalThis.streams.length") == 1)
    ended = "globalThis.streams[0].getTracks().every((track) => track.readyState === 'ended')"
    until(page, lambda: page.evaluate(ended))
    assert page.evaluate(KEPT_ALONG) == []


def test_a_minute_is_the_most_and_is_counted_down(house: Any, speaking_phone: Any) -> None:
    page, key = begin(speaking_phone), f"running_rope.{house.rope.pk}"
    box = voice_box(page, key)
    page.evaluate(CLOCK_IN_HAND)
    box.locator("summary").click()
    box.get_by_role("button", name="Record").click()
    box.get_by_text("60 s left").wait_for()
    page.evaluate("globalThis.ahead = 50500")
    box.get_by_text("10 seconds left.", exact=True).wait_for()
    page.evaluate("globalThis.ahead = 60000")
    box.get_by_text("Kept on this phone: 60 s.").wait_for()


def test_a_refused_microphone_is_said_and_a_sound_file_or_words_remain(
    house: Any, phone: Any, tmp_path: Path
) -> None:
    page, key = begin(phone), f"running_rope.{house.rope.pk}"
    page.evaluate(
        """() => {
            navigator.mediaDevices.getUserMedia = () => Promise.reject(new DOMException("no", "NotAllowedError"));
        }"""
    )
    box = voice_box(page, key)
    box.locator("summary").click()
    box.get_by_role("button", name="Record").click()
    box.get_by_text("The microphone was refused. Type it instead").wait_for()
    spoken = tmp_path / "note.ogg"
    spoken.write_bytes(b"OggS\x00\x02" + b"\x00" * 22 + b"OpusHead" + b"sound" * 30)
    box.locator("input[type=file]").set_input_files(spoken)
    box.get_by_text("Kept on this phone.").wait_for()
    fill(page, house)
    look_it_over(page)
    page.fill("#remark", "Typed instead.")
    save(page)
    assert sent_when_there_is_signal(page, phone, 1) == [spoken.read_bytes()]
    assert Record.objects.get().remark == "Typed instead."


def test_it_works_with_the_keyboard_alone(house: Any, speaking_phone: Any) -> None:
    page, key = begin(speaking_phone), f"running_rope.{house.rope.pk}"
    box = voice_box(page, key)
    page.evaluate(CLOCK_IN_HAND)
    box.locator("summary").focus()
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    box.get_by_role("button", name="Stop").wait_for()
    page.wait_for_timeout(500)  # something to hear
    page.evaluate("globalThis.ahead = 1100")
    page.keyboard.press("Enter")  # the same button
    box.get_by_text("Kept on this phone: 1 s.").wait_for()
    sizes = box.locator("button, summary").evaluate_all(
        "(all) => all.map((each) => each.getBoundingClientRect().height)"
    )
    assert min(size for size in sizes if size) >= 56


def test_a_drawn_signature_is_kept_sent_once_and_shown_beside_the_name(
    house: Any, phone: Any
) -> None:
    page = begin(phone)
    fill(page, house)
    look_it_over(page)
    box = page.locator(".check-review .drawn")
    box.locator("summary").click()
    assert box.get_by_role("button", name="Clear").is_disabled()
    draw(page, (0.1, 0.2), (0.9, 0.2))
    box.get_by_role("button", name="Undo").click()
    draw(page, (0.1, 0.5), (0.9, 0.5))
    box.get_by_role("button", name="Clear").click()
    box.get_by_text("Nothing is drawn.").wait_for()
    box.get_by_role("button", name="Undo").click()
    box.get_by_text("Drawn; it is kept").wait_for()
    assert no_wider_than_the_screen(page)
    until_kept(page)
    page.reload()  # it comes back with the check
    walk_on(page, "Next")
    walk_on(page, "Look it over")
    page.get_by_text("Drawn; it is kept").wait_for()
    save(page)
    (left,) = sent_when_there_is_signal(page, phone, 1)
    row = CheckFile.objects.get()
    assert (row.what, stored(row)) == ("drawn", left)
    picture = Image.open(io.BytesIO(left)).convert("L")
    assert picture.size == (600, 200)
    assert picture.getpixel((300, 100)) < 60
    assert picture.getpixel((300, 40)) > 200  # what was undone is gone
    assert len(left) < 20_000
    record = Record.objects.get()
    page.goto(f"/v/larkspur/records/{record.pk}/")
    shown = page.locator("img.drawn-signature")
    shown.scroll_into_view_if_needed()
    until(page, lambda: shown.evaluate("(picture) => picture.naturalWidth") == 600)
    assert "It proves less than the sign-in" in page.locator("main").inner_text()


def test_nobody_has_to_draw_or_speak(house: Any, phone: Any) -> None:
    page = begin(phone)
    fill(page, house)
    look_it_over(page)
    save(page)
    phone.set_offline(False)
    page.get_by_role("link", name="Back to my round").click()
    until(page, Record.objects.exists)
    assert json.loads(Record.objects.get().body)["along"] == []
