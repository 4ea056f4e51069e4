"""Fill the database of the trials: two stagehands, eight winches. Run in its environment."""

from __future__ import annotations

import django


def fill() -> None:
    from django.utils import timezone

    from inspections.actions.plans import apply_regime
    from tests.house import make_equipment, make_house, make_person, make_rope

    house, now = make_house(), timezone.now()
    make_person(house.venue, "stagehand", "helper")
    winches = [house.winch] + [make_equipment(house.venue, f"W{number}") for number in range(2, 9)]
    for winch in winches:
        if winch is not house.winch:
            make_rope(winch)
        apply_regime(
            equipment=winch, regime=house.regime, anchor=now.date(), last_done_on=None,
            by=house.people["manager"], at=now,
        )  # fmt: skip


if __name__ == "__main__":
    django.setup()
    fill()
