"""What a house in a time zone usually measures in, speaks and prints on. Pure.

Only a proposal on the page that asks; the house decides. The zones are those of the tz database.
"""

from __future__ import annotations

from dataclasses import dataclass
from zoneinfo import available_timezones

# Zones of the United States that are not written "US/..." or "America/Indiana/..." and the like.
UNITED_STATES = frozenset(
    f"America/{city}"
    for city in (
        "Adak", "Anchorage", "Boise", "Chicago", "Denver", "Detroit", "Juneau", "Los_Angeles",
        "Menominee", "Metlakatla", "New_York", "Nome", "Phoenix", "Sitka", "Yakutat",
    )
) | {"Pacific/Honolulu", "America/Puerto_Rico"}  # fmt: skip
OF_THE_STATES = ("US/", "America/Indiana/", "America/Kentucky/", "America/North_Dakota/")
CANADA = frozenset(
    f"America/{city}"
    for city in (
        "Edmonton", "Halifax", "Moncton", "Regina", "St_Johns", "Toronto", "Vancouver",
        "Whitehorse", "Winnipeg",
    )
)  # fmt: skip
GERMANY = frozenset({"Europe/Berlin", "Europe/Busingen"})
BRITAIN = frozenset({"Europe/London", "Europe/Belfast", "GB"})
# Names that no house would say of itself: offsets, old spellings, single words.
NO_PLACE = ("Etc/", "SystemV/", "posix/", "right/")


@dataclass(frozen=True)
class Habits:
    unit_habit: str
    dialect: str
    paper: str
    country: str  # of those whose documents Loftbook knows, else "elsewhere"


def habits_of(time_zone: str) -> Habits:
    """
    >>> habits_of("America/Chicago").unit_habit, habits_of("Europe/London").dialect
    ('us', 'en-GB')
    >>> habits_of("America/Toronto").paper, habits_of("Asia/Tokyo").country
    ('letter', 'elsewhere')
    """
    if time_zone in UNITED_STATES or time_zone.startswith(OF_THE_STATES):
        return Habits("us", "en-US", "letter", "us")
    if time_zone in CANADA or time_zone.startswith("Canada/"):
        return Habits("metric", "en-US", "letter", "ca")
    country = "de" if time_zone in GERMANY else "gb" if time_zone in BRITAIN else "elsewhere"
    return Habits("metric", "en-GB", "A4", country)


def zones_to_choose() -> list[tuple[str, list[tuple[str, str]]]]:
    """Region, then its zones, as a person looks for them: the city with spaces."""
    regions: dict[str, list[tuple[str, str]]] = {}
    for zone in sorted(available_timezones()):
        region, slash, city = zone.partition("/")
        if slash and not zone.startswith(NO_PLACE):
            regions.setdefault(region, []).append((zone, city.replace("_", " ")))
    return [*regions.items(), ("None of these", [("UTC", "UTC")])]
