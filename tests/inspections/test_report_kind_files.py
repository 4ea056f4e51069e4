"""A kind of report is a file: what a wrong one says, and what every right one has."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.template.loader import get_template

from inspections.forms_report_kinds import ASKING
from inspections.queries.report_kinds.content import BUILDERS
from inspections.regime_files import regimes
from inspections.reports.kind_files import ASKS, FOLDER, FaultyReportKind, kinds_in, report_kinds
from venue.kind_files import kinds, part_kinds

RIGHT = (FOLDER / "us_rope_record.toml").read_text(encoding="utf-8")


def test_every_kind_has_its_builder_its_pages_and_names_only_what_there_is() -> None:
    found = report_kinds()
    families = {kind.family for kind in kinds().values()}
    for kind in found.values():
        assert kind.builder in BUILDERS, kind.slug
        assert get_template(f"inspections/report/kinds/{kind.template}")
        assert set(kind.regimes) <= set(regimes()), kind.slug
        assert set(kind.part_kinds) <= set(part_kinds()), kind.slug
        assert set(kind.families) <= families, kind.slug
        assert kind.cautions, kind.slug
    assert set(ASKS) == set(ASKING)
    assert len(found) >= 7


def test_the_thorough_report_lists_every_item_of_the_schedule() -> None:
    items = report_kinds()["thorough_exam"].items
    numbers = {item.number for item in items}
    wanted = {*map(str, range(1, 8)), "9", "10", "11", *(f"8({letter})" for letter in "abcdef")}
    assert numbers == wanted
    assert all(item.required and item.clause.endswith(f"item {item.number}") for item in items)


@pytest.mark.parametrize(
    ("right", "wrong", "fault"),
    [
        ('slug = "us_rope_record"', 'slug = "another"', "is not the file's name"),
        ("order = 5", "order = 5\ncolour = 1", "unknown key colour"),
        ('asks = "record"', 'asks = "wish"', "is none of span"),
        ('level = "competent_person"', 'level = "anybody"', "is not known"),
        ('own = "I performed', 'template2 = "I performed', "unknown key template2"),
        ('clause = "1910.179(m)"', 'clause = ""', "names no clause"),
        ('key = "date"', 'key = "signature"', "two items have the same key"),
        ('builder = "certification"\n', "", "'builder' is missing"),
    ],
)
def test_a_wrong_file_is_refused_with_its_name_and_its_fault(
    tmp_path: Path, right: str, wrong: str, fault: str
) -> None:
    assert right in RIGHT
    (tmp_path / "us_rope_record.toml").write_text(RIGHT.replace(right, wrong), encoding="utf-8")
    with pytest.raises(FaultyReportKind, match=f"us_rope_record.toml: .*{fault}"):
        kinds_in(tmp_path)
