"""A reason tapped on a phone is kept in English, whatever the language of the phone."""

from __future__ import annotations

import json
import re
from datetime import UTC, datetime
from pathlib import Path

from inspections.phone_message import STOP_REASONS, read_stop

NOON = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)
SCRIPT = Path(__file__).resolve().parents[2] / "static/js/phone/stop.js"


def why(**said: object) -> str:
    body = {"person": 1, "equipment": 2, "pressed_at": NOON.isoformat(), **said}
    return read_stop(json.dumps(body), NOON).why


def test_the_phone_offers_these_reasons_in_this_order() -> None:
    (offered,) = re.findall(r"const REASONS = (\[.*?\]);", SCRIPT.read_text())
    assert tuple(json.loads(offered)) == STOP_REASONS


def test_what_was_tapped_is_kept_in_english_and_what_was_typed_as_it_was() -> None:
    assert why(why="Bremse hält nicht", reason=2) == "Brake does not hold"
    assert why(why="Klemmt am Ende", reason=-1) == "Klemmt am Ende"
    assert why(why="Klemmt am Ende") == "Klemmt am Ende"
    for wrong in (99, True, "2", None):
        assert why(why="Klemmt am Ende", reason=wrong) == "Klemmt am Ende"
