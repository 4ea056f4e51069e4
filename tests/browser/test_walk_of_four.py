"""The main job from a register file to an insurer's bundle, in a real browser.

Odile, the facilities manager, brings in the register, chooses the rules and makes the tasks. Priya,
a stagehand, walks her round and finds a bad rope. Tam, the head flyman, changes it, and may not
return what he mended. Marisol, the outside examiner, examines, returns it and signs the day's
report. Ines, the insurer's engineer, takes the bundle home and checks it with standard tools.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from pytest_django import Settings

from tests.browser.hands import DESK, PHONE
from tests.browser.walk_house import House, open_house
from tests.browser.walk_manager import (
    odile_books_a_dark_day,
    odile_brings_in_the_register,
    odile_enters_the_new_rope,
    odile_makes_dated_tasks_of_regimes,
    odile_puts_rules_in_force,
)
from tests.browser.walk_proof import ines_takes_the_bundle_home, marisol_signs_the_report_of_the_day
from tests.browser.walk_stage import (
    every_page_of_the_winch_says_it_first,
    marisol_examines_and_returns_it,
    priya_finds_a_bad_rope_by_its_tag,
    priya_walks_the_catwalk_from_her_list,
    tam_changes_the_rope_and_may_not_return_it,
)

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture(params=[PHONE, DESK], ids=["phone", "desk"])
def house(
    request: Any, live_server: Any, tab: Callable[..., Any], settings: Settings, one_day: None
) -> House:
    settings.LOFTBOOK_ADDRESS = live_server.url  # which is what a label then leads to
    return open_house(request.param, live_server.url, tab)


@pytest.mark.long
def test_from_a_register_file_to_an_insurers_bundle(house: House, tmp_path: Path) -> None:
    odile_brings_in_the_register(house)
    odile_puts_rules_in_force(house)
    odile_makes_dated_tasks_of_regimes(house)
    odile_books_a_dark_day(house)
    priya_walks_the_catwalk_from_her_list(house)
    priya_finds_a_bad_rope_by_its_tag(house)
    every_page_of_the_winch_says_it_first(house)
    tam_changes_the_rope_and_may_not_return_it(house)
    odile_enters_the_new_rope(house)
    marisol_examines_and_returns_it(house)
    marisol_signs_the_report_of_the_day(house, tmp_path)
    ines_takes_the_bundle_home(house, tmp_path)
