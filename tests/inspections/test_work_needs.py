"""What work needs is data: every regime resolves, and a faulty file is refused with its name."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from inspections.regime_files import regimes
from inspections.regime_fit import serves
from inspections.work_files import FOLDER, work_needs, work_needs_in
from inspections.work_shapes import NOT_ESTIMATED, FaultyWorkFile
from venue.kind_files import kinds

GOOD = 'basis = "common practice"\n[[work]]\nregime = "one"\nperson_hours = "0.5"\n'


def test_every_dated_regime_on_every_kind_it_serves_is_estimated() -> None:
    needs, seen = work_needs(), 0
    for regime in regimes().values():
        if not regime.interval or regime.interval == "P1D":
            continue
        for kind in kinds().values():
            if serves(regime, kind):
                work = needs.of(regime.slug, kind.family, regime.level)
                seen += 1
                assert work.estimated, (regime.slug, kind.slug)
                assert work.person_hours > 0
                assert bool(work.examiner) == (regime.level == "outside_examiner"), regime.slug
    assert seen > 120


def test_no_work_or_order_is_named_that_no_regime_has() -> None:
    needs = work_needs()
    named = {*needs.by_regime, *(slug for pair in needs.order for slug in pair)}
    assert named <= set(regimes())
    assert {family for family, _ in needs.by_family} == {kind.family for kind in kinds().values()}


def test_what_no_file_knows_is_planned_with_the_default_and_marked() -> None:
    work = work_needs().of("nobody_knows", "turntable", "competent_person")
    assert work == NOT_ESTIMATED
    assert not work.estimated
    examined = work_needs().of("nobody_knows", "turntable", "outside_examiner")
    assert (examined.examiner, examined.estimated) == ("lifting", False)


def test_a_new_file_is_all_a_new_kind_of_work_needs(tmp_path: Path) -> None:
    (tmp_path / "turntable.toml").write_text(GOOD)
    assert work_needs_in(tmp_path).of("one", "", "").person_hours == Decimal("0.5")


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        (GOOD.replace("common practice", "document"), "no document says these"),
        (GOOD.replace("0.5", "0.3"), "not whole quarter-hours"),
        (GOOD.replace("0.5", "half"), "faulty.toml"),
        (GOOD + 'set_ups = ["a_crane"]\n', "set-up a_crane is not known"),
        (GOOD + 'examiner = "magic"\n', "trade magic is not known"),
        (GOOD + 'access = ["moonlight"]\n', "access moonlight is not known"),
        (GOOD + 'not_needed = ["house_empty"]\n', "needs its reason"),
        (GOOD + "people = 0\n", "less than one"),
        (GOOD + 'colour = "red"\n', "key colour is not known"),
        (GOOD + GOOD[GOOD.index("[[") :], "one stands twice"),
        ('[[work]]\nregime = "one"\n', "'basis' is missing"),
    ],
)
def test_a_faulty_file_is_refused_with_its_name_and_the_fault(
    tmp_path: Path, text: str, fault: str
) -> None:
    (tmp_path / "faulty.toml").write_text(text)
    with pytest.raises(FaultyWorkFile, match=fault) as refused:
        work_needs_in(tmp_path)
    assert "faulty.toml" in str(refused.value)


def test_every_set_up_of_the_files_is_used_by_some_work_or_state() -> None:
    needs = work_needs()
    used = {
        key
        for work in (*needs.by_regime.values(), *needs.by_family.values())
        for key in work.set_ups
    }
    tied = {one.slug for one in needs.set_ups.values() if one.makes or one.goes_with}
    assert set(needs.set_ups) == used | tied
    assert len(list(FOLDER.glob("*.toml"))) >= 10
