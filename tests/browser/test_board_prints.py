"""The year board on paper: a real browser prints it, and nothing of it is cut off."""

from __future__ import annotations

import html
import re
from collections import Counter
from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
import time_machine

from inspections.board_grid import monday_of
from tests.browser.hands import DESK
from tests.browser.test_phone_check import sign_in
from tests.house import NOW, TODAY
from tests.inspections.outside_tools import said_by, tool
from tests.inspections.planned_house import make_planned_house
from venue.models import Place

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

WINCHES = 14
# Landscape, in points: 420 by 297 mm, and 11 by 8 1/2 in.
SHEETS = {"A3": (1190.55, 841.89), "letter": (792.0, 612.0)}
SHEET = re.compile(r'<page width="([\d.]+)" height="([\d.]+)"')
WORD = re.compile(
    r'<word xMin="(-?[\d.]+)" yMin="(-?[\d.]+)" xMax="(-?[\d.]+)" yMax="(-?[\d.]+)">(.*?)</word>'
)
# Between the margins, in the browser's pixels.
WIDTHS = {"A3": 1519, "letter": 995}


@pytest.fixture
def house(live_server: Any) -> Iterator[Any]:
    """As many places as winches, each with a name of some length: low rows, nearly the lowest."""
    with time_machine.travel(NOW):
        yield house_of_many_places()


def house_of_many_places() -> Any:
    house = make_planned_house(WINCHES, first=monday_of(TODAY) + timedelta(days=7))
    for number, winch in enumerate(house.winches):
        place = Place.objects.create(
            venue=house.venue, slug=f"p{number}", name=f"Loading gallery {number:02}", level=3,
            walking_order=10 + number,
        )  # fmt: skip
        type(winch).objects.filter(pk=winch.pk).update(place=place)
    return house


def opened(tab: Callable[..., Any], house: Any, zoom: str, paper: str) -> Any:
    page = tab(DESK)
    first = house.year_plan.planned.order_by("day").first().day
    where = f"/v/larkspur/year/{house.year_plan.pk}/board/?zoom={zoom}&day={first}&paper={paper}"
    sign_in(page, "manager", where)
    page.wait_for_load_state("load")
    page.evaluate("document.fonts.ready.then(() => true)")
    return page


class Printed:
    """A printed page, as another program reads it: its sheets, and each word with where it stands."""

    def __init__(self, page: Any, folder: Path) -> None:
        path = folder / "board.pdf"
        path.write_bytes(page.pdf(prefer_css_page_size=True, print_background=True))
        boxes = said_by(tool("pdftotext", "poppler-utils"), "-bbox", path, "-")
        self.sheets = [(float(w), float(h)) for w, h in SHEET.findall(boxes)]
        self.last_sheet = " ".join(found[4] for found in WORD.findall(boxes.split("<page ")[-1]))
        self.words = [
            (tuple(float(each) for each in found[:4]), html.unescape(found[4]))
            for found in WORD.findall(boxes)
        ]

    @property
    def joined(self) -> str:
        return "".join(word for _, word in self.words)

    def outside(self) -> list[str]:
        """Words that stand, in whole or in part, beside the sheet."""
        width, height = self.sheets[0]
        return [
            word
            for (left, top, right, bottom), word in self.words
            if left < 0 or top < 0 or right > width or bottom > height
        ]


def cut_off(page: Any, paper: str) -> list[str]:
    """Cells whose words are wider than they are, and whatever reaches beyond the sheet."""
    page.emulate_media(media="print")
    page.set_viewport_size({"width": WIDTHS[paper], "height": 900})
    found = page.evaluate(
        """width => [...document.querySelectorAll('.board th, .board td, .board-key li')]
            .filter(cell => cell.offsetParent)
            .filter(cell => cell.getBoundingClientRect().right > width + 1
                || [...cell.querySelectorAll('*')].some(each => !each.closest('.unseen, svg')
                    && each.getBoundingClientRect().right > cell.getBoundingClientRect().right + 1.5))
            .map(cell => cell.innerText)""",
        WIDTHS[paper],
    )
    page.emulate_media(media="screen")
    return list(found)


@pytest.mark.parametrize("zoom", ["year", "quarter", "month"])
@pytest.mark.parametrize("paper", list(SHEETS))
def test_a_year_a_quarter_and_a_month_are_one_sheet_each_and_whole(
    tab: Callable[..., Any], house: Any, tmp_path: Path, paper: str, zoom: str
) -> None:
    page = opened(tab, house, zoom, paper)
    found = Printed(page, tmp_path)
    assert found.sheets == [pytest.approx(SHEETS[paper], abs=1.5)], found.last_sheet[:400]
    for number in range(WINCHES):
        assert f"Loadinggallery{number:02}" in found.joined
    days = page.eval_on_selector_all(
        "thead [data-day]",
        "heads => heads.map(head => [...head.childNodes]"
        ".filter(node => node.nodeType === 3).map(node => node.textContent.trim()).join(''))",
    )
    assert len(days) in {"year": {53}, "quarter": {90, 91, 92}, "month": {28, 29, 30, 31}}[zoom]
    numbers = Counter(re.findall(r"\d+", " ".join(word for _, word in found.words)))
    assert Counter(days) - numbers == Counter(), "a column without its day"
    assert found.outside() == []
    assert cut_off(page, paper) == []


@pytest.mark.parametrize("paper", list(SHEETS))
def test_a_week_takes_the_sheets_it_needs_and_names_every_task(
    tab: Callable[..., Any], house: Any, tmp_path: Path, paper: str
) -> None:
    page = opened(tab, house, "week", paper)
    tags = page.eval_on_selector_all(".board-task b", "all => all.map(each => each.innerText)")
    assert len(tags) >= 3
    found = Printed(page, tmp_path)
    assert 1 <= len(found.sheets) <= 4
    assert {round(width) for width, _ in found.sheets} == {round(SHEETS[paper][0])}
    assert [tag for tag in tags if tag not in found.joined] == []
    assert found.outside() == []
    assert cut_off(page, paper) == []
