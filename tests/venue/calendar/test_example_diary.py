"""The diary in docs/examples is read as docs/calendar.md says."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from zoneinfo import ZoneInfo

from tests.venue.calendar.files import LONDON, expanded, times
from venue.calendar.kinds import wanted
from venue.calendar.starting_rules import starting_rules

DIARY = Path(__file__).parents[3] / "docs" / "examples" / "house-diary.ics"


def test_the_example_holds_a_run_a_moved_night_dark_days_a_fit_up_and_one_unknown() -> None:
    found = expanded(DIARY.read_bytes(), "2027-01-01", "2027-03-31")
    assert found.faults == []
    # Tuesdays and Thursdays from 5 January to 9 February are 11; one is left out, one is moved.
    kinds = Counter(
        each.what
        for one in found.occurrences
        for each in wanted(one, starting_rules(), ZoneInfo(LONDON))
    )
    assert kinds == {"performance": 10, "dark": 1, "load_in": 1, "unknown": 1}
    assert "2027-01-15 14:00 to 2027-01-15 17:00" in times(found)
    assert "2027-01-18 00:00 to 2027-01-20 00:00" in times(found)
    assert not any(time.startswith(("2027-01-12", "2027-01-14")) for time in times(found))
