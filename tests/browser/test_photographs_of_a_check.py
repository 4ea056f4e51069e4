"""Photographs on a phone: small, upright, without where they were taken, marked with a finger."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from PIL import Image

from inspections.models import AnswerPhoto, Record, SentPhotograph
from tests.browser.round_on_a_phone import (
    fill,
    look_it_over,
    save,
    take_the_round,
    until,
    until_kept,
)
from tests.browser.test_phone_check import no_wider_than_the_screen
from venue.file_store import path_of

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

ORIENTATION, GPS, MAKE = 0x0112, 0x8825, 0x010F
RED, BLUE = (200, 30, 30), (30, 30, 200)


@pytest.fixture
def sideways(tmp_path: Path) -> Path:
    """As a phone held upright writes it: lying, with a note to turn it; red is up when turned."""
    picture = Image.new("RGB", (2400, 1800), BLUE)
    picture.paste(RED, (0, 0, 1200, 1800))  # the left half comes up when turned clockwise
    notes = Image.Exif()
    notes[ORIENTATION], notes[MAKE] = 6, "A phone"
    notes.get_ifd(GPS).update({1: "N", 2: (51.0, 30.0, 0.0), 3: "W", 4: (0.0, 7.0, 0.0)})
    file = tmp_path / "sideways.jpg"
    picture.save(file, exif=notes)
    written = Image.open(file).getexif()
    assert (written[ORIENTATION], written.get_ifd(GPS)[1]) == (6, "N")
    return file


def begin(phone: Any, house: Any, photograph: Path) -> Any:
    page = take_the_round(phone, "competent")
    phone.set_offline(True)
    page.get_by_role("button", name="Start this check").click()
    page.wait_for_url("**/kept/*/")
    page.get_by_text("Question 1 of 2").wait_for()
    key = f"running_rope.{house.rope.pk}"
    page.set_input_files(f'[name="{key}:photo"]', photograph)
    page.get_by_role("button", name="Mark on the photograph").wait_for()
    return page


def draw(page: Any, *points: tuple[float, float]) -> None:
    seen = page.locator("canvas.marking").bounding_box()
    places = [(seen["x"] + x * seen["width"], seen["y"] + y * seen["height"]) for x, y in points]
    page.mouse.move(*places[0])
    page.mouse.down()
    for place in places[1:]:
        page.mouse.move(*place, steps=4)
    page.mouse.up()


def send(page: Any, phone: Any, photographs: int) -> list[bytes]:
    """The bytes of each photograph as they left the phone, in the order they left; a page that is left
    while it sends is begun anew by the next, so the same may leave twice."""
    sent: list[bytes] = []

    def pass_on(route: Any) -> None:
        sent.append(route.request.post_data_buffer)
        route.continue_()

    phone.route("**/photographs/**", pass_on)
    phone.set_offline(False)
    page.get_by_role("link", name="Back to my round").click()
    until(page, lambda: SentPhotograph.objects.count() == photographs)
    return list(dict.fromkeys(sent))


def near(one: tuple[int, ...], other: tuple[int, ...]) -> bool:
    return all(abs(a - b) < 45 for a, b in zip(one, other, strict=True))


def test_a_photograph_leaves_the_phone_upright_small_and_without_its_notes(
    house: Any, phone: Any, sideways: Path
) -> None:
    page = begin(phone, house, sideways)
    fill(page, house)
    save(page)
    content = send(page, phone, 1)[0]
    kept = AnswerPhoto.objects.get().kept_file
    arrived = path_of(Path(settings.LOFTBOOK_FILES), kept.sha256).read_bytes()
    for each in (content, arrived):
        assert b"Exif" not in each
        assert b"A phone" not in each
        picture = Image.open(io.BytesIO(each)).convert("RGB")
        assert picture.size == (1200, 1600)
        assert near(picture.getpixel((600, 200)), RED)
        assert near(picture.getpixel((600, 1400)), BLUE)


def test_a_marked_photograph_is_kept_beside_the_plain_one_and_comes_second(
    house: Any, phone: Any, sideways: Path
) -> None:
    page = begin(phone, house, sideways)
    for _ in range(2):  # drawn anew, the first drawing goes
        page.get_by_role("button", name="Mark on the photograph").click()
        assert page.get_by_role("button", name="Done").is_disabled()
        draw(page, (0.1, 0.1), (0.9, 0.1))
        page.get_by_role("button", name="Undo").click()
        assert page.get_by_role("button", name="Done").is_disabled()
        draw(page, (0.2, 0.75), (0.8, 0.75))
        assert no_wider_than_the_screen(page)
        page.get_by_role("button", name="Done").click()
        page.locator("dialog").wait_for(state="detached")
    fill(page, house)
    save(page)
    plain, marked = (Image.open(io.BytesIO(each)).convert("RGB") for each in send(page, phone, 2))
    assert near(plain.getpixel((600, 1200)), BLUE)
    assert near(marked.getpixel((600, 1200)), (0xD3, 0x14, 0x1F))
    assert near(marked.getpixel((600, 160)), RED)  # what was undone is gone
    assert near(marked.getpixel((600, 1400)), BLUE)
    assert AnswerPhoto.objects.count() == 2
    assert b"A phone" not in Record.objects.get().body.encode()


def test_a_photograph_of_a_check_half_done_can_still_be_marked_after_the_page_was_killed(
    house: Any, phone: Any, sideways: Path
) -> None:
    page = begin(phone, house, sideways)
    until_kept(page)
    where = page.url
    page.close()
    page = phone.new_page()
    page.goto(where)
    page.get_by_role("button", name="Mark on the photograph").click()
    draw(page, (0.2, 0.75), (0.8, 0.75))
    page.get_by_role("button", name="Done").click()
    page.locator("dialog").wait_for(state="detached")
    fill(page, house)
    look_it_over(page)
    assert "2 photographs" in page.locator(".check-review").inner_text()
