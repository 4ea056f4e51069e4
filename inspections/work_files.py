"""Read what work needs from the files of a folder. Pure.

A new file is all that a new kind of work needs. An unknown key, level, access state, set-up or
trade, or the same work said twice, is refused with the file's name and the fault: a wrong estimate
would crowd a year.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from decimal import Decimal, InvalidOperation
from functools import cache
from pathlib import Path
from typing import Any

from inspections.regime_shapes import LEVELS
from inspections.work_shapes import FaultyWorkFile, Helper, SetUpKind, Trade, Work, WorkNeeds
from venue.kind_shapes import ACCESS

FOLDER = Path(__file__).parent / "work_needs"
BASIS = "common practice"
TABLES = {"basis", "work", "set_up", "trade", "order"}
WORK_KEYS = {
    "regime", "family", "level", "person_hours", "people", "half_days", "helper", "examiner",
    "examiner_hours", "access", "not_needed", "not_needed_why", "set_ups", "zone",
}  # fmt: skip
QUARTER = Decimal("0.25")


@cache
def work_needs() -> WorkNeeds:
    """The files beside this module."""
    return work_needs_in(FOLDER)


def work_needs_in(folder: Path) -> WorkNeeds:
    needs = WorkNeeds({}, {}, {}, {}, ())
    order: list[tuple[str, str]] = []
    said: list[tuple[str, Work]] = []
    for path in sorted(folder.glob("*.toml")):
        try:
            raw = tomllib.loads(path.read_text(encoding="utf-8"))
            said += [(path.name, work) for work in _file(raw, needs)]
            order += [pair for each in raw.get("order", ()) for pair in _pairs(each)]
        except KeyError as fault:
            raise FaultyWorkFile(f"{path.name}: {fault} is missing") from fault
        except (ValueError, TypeError, AttributeError, InvalidOperation) as fault:
            raise FaultyWorkFile(f"{path.name}: {fault}") from fault
    for name, work in said:
        try:
            _refuse(set(work.set_ups) - set(needs.set_ups), "set-up")
            _refuse({work.examiner} - {"", *needs.trades}, "trade")
        except ValueError as fault:
            raise FaultyWorkFile(f"{name}: {fault}") from fault
    return WorkNeeds(needs.by_regime, needs.by_family, needs.set_ups, needs.trades, tuple(order))


def _file(raw: dict[str, Any], needs: WorkNeeds) -> list[Work]:
    """Put what a file says into the tables; the works it names, for what can be checked at the end."""
    _refuse(set(raw) - TABLES, "key")
    if raw["basis"] != BASIS:
        raise ValueError(f"the basis is {BASIS!r}: no document says these")
    for given in raw.get("set_up", ()):
        _once(needs.set_ups, given["slug"], _set_up(given))
    for given in raw.get("trade", ()):
        _once(needs.trades, given["slug"], _trade(given))
    found = []
    for given in raw.get("work", ()):
        work = _work(given)
        found.append(work)
        if "regime" in given:
            _once(needs.by_regime, given["regime"], work)
        else:
            _refuse({given["level"]} - set(LEVELS), "level")
            _once(needs.by_family, (given["family"], given["level"]), work)
    return found


def _work(raw: dict[str, Any]) -> Work:
    _refuse(set(raw) - WORK_KEYS, "key")
    _refuse({*raw.get("access", ()), *raw.get("not_needed", ())} - set(ACCESS), "access")
    if raw.get("not_needed") and not raw.get("not_needed_why"):
        raise ValueError("not_needed needs its reason in not_needed_why")
    _refuse({raw.get("zone", "place")} - {"place", "none"}, "zone")
    return Work(
        person_hours=_hours(raw["person_hours"]),
        people=_count(raw.get("people", 1)),
        half_days=_count(raw.get("half_days", 1)),
        helper=_helper(raw.get("helper")),
        examiner=raw.get("examiner", ""),
        examiner_hours=_hours(raw.get("examiner_hours", "0")),
        access=tuple(raw.get("access", ())),
        not_needed=tuple(raw.get("not_needed", ())),
        not_needed_why=raw.get("not_needed_why", ""),
        set_ups=tuple(raw.get("set_ups", ())),
        in_zone=raw.get("zone", "place") == "place",
    )


def _helper(raw: dict[str, Any] | None) -> Helper | None:
    if raw is None:
        return None
    _refuse({raw["level"]} - set(LEVELS), "level")
    return Helper(raw["level"], _hours(raw["person_hours"]))


def _set_up(raw: dict[str, Any]) -> SetUpKind:
    _refuse(set(raw) - set(SetUpKind.__dataclass_fields__), "key")
    _refuse({raw["per"]} - {"half-day", "day"}, "per")
    _refuse({raw["shared"]} - {"house", "place"}, "shared")
    _refuse({raw.get("makes", ""), raw.get("goes_with", "")} - {"", *ACCESS}, "access")
    return SetUpKind(**{**raw, "price": Decimal(raw["price"])})


def _trade(raw: dict[str, Any]) -> Trade:
    _refuse(set(raw) - set(Trade.__dataclass_fields__), "key")
    hours = _hours(raw["hours_a_day"])
    return Trade(raw["slug"], raw["words"], Decimal(raw["day_fee"]), hours, raw["notice_days"])


def _pairs(raw: dict[str, Any]) -> Iterable[tuple[str, str]]:
    _refuse(set(raw) - {"first", "then"}, "key")
    return [(first, then) for first in raw["first"] for then in raw["then"]]


def _hours(text: str) -> Decimal:
    hours = Decimal(text)
    if hours < 0 or hours % QUARTER:
        raise ValueError(f"{text} hours are not whole quarter-hours")
    return hours


def _count(number: int) -> int:
    if number < 1:
        raise ValueError(f"{number} is less than one")
    return number


def _once(table: dict[Any, Any], key: Any, value: object) -> None:
    if key in table:
        raise ValueError(f"{key} stands twice")
    table[key] = value


def _refuse(strange: set[str], what: str) -> None:
    if strange:
        raise ValueError(f"{what} {', '.join(sorted(strange))} is not known")
