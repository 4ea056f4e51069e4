"""Importing into the database: all or nothing, twice is once, told in the log, quick."""

from __future__ import annotations

import io

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from inspections.demo.build import open_larkspur
from tests.house import NOW, TODAY, make_equipment, make_person, make_rope, make_venue
from tests.venue.register_samples import ROPE, WINCH, csv_of, winches
from tests.venue.trees import whole
from venue.actions.import_register import (
    RegisterHasFaults,
    RegisterMovedOn,
    import_register,
    try_register,
)
from venue.models import Equipment, LogLine, Part, Place, RatedLoad, Venue
from venue.queries.register import register_file, register_rows_of

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]


@pytest.fixture
def venue() -> Venue:
    return make_venue()


def run(venue: Venue, content: bytes, **more):
    return import_register(
        venue=venue, content=content, file_name="register.csv", by=None, at=NOW, **more
    )


def counts(venue: Venue) -> tuple[int, ...]:
    of_parts = Part.objects.in_venue(venue)
    return (
        venue.places.count(), venue.equipment.count(), of_parts.count(),
        RatedLoad.objects.in_venue(venue).count(), LogLine.objects.in_venue(venue).count(),
    )  # fmt: skip


def test_a_file_creates_places_equipment_rated_loads_and_parts(venue):
    run(venue, csv_of(WINCH, ROPE))
    winch = Equipment.objects.get(venue=venue, tag="W7")
    assert str(winch.place.parent) == "Stage house"
    assert winch.kind_hash
    assert winch.fields["travel"]["si"] == "19/2"
    assert winch.rated_loads.get().quantity["typed"] == "500 kg"
    assert winch.parts.get().fields["nominal_diameter"]["typed"] == "1/4 in"
    assert winch.parts.get().installed_on.isoformat() == "2021-03-04"


def test_the_same_file_twice_changes_nothing_and_logs_nothing(venue):
    run(venue, csv_of(WINCH, ROPE))
    before = counts(venue)
    assert run(venue, csv_of(WINCH, ROPE)).changes_nothing
    assert counts(venue) == before


def test_one_bad_row_among_good_ones_changes_nothing_at_all(venue):
    run(venue, csv_of(WINCH))
    before = counts(venue)
    rows = [WINCH | {"name": "Renamed"}, *winches(20), ROPE | {"installed on": "2023-02-30"}]
    with pytest.raises(RegisterHasFaults) as refusal:
        run(venue, csv_of(*rows))
    assert [fault.row for fault in refusal.value.comparison.faults] == [43]
    assert counts(venue) == before
    assert Equipment.objects.get(tag="W7").name == "Paint frame winch"


def test_a_failure_in_the_middle_of_writing_changes_nothing(venue, monkeypatch):
    def fail(**_: object) -> None:
        raise OSError("disk")

    monkeypatch.setattr("venue.actions.import_register.write_lines", fail)
    with pytest.raises(OSError, match="disk"):
        run(venue, csv_of(WINCH, ROPE))
    assert counts(venue) == (0, 0, 0, 0, 0)


def test_a_trial_writes_nothing(venue):
    comparison = try_register(venue=venue, content=csv_of(WINCH, ROPE), at=NOW)
    assert len(comparison.changes) == 4
    assert counts(venue) == (0, 0, 0, 0, 0)


def test_changes_are_applied_and_what_the_file_leaves_out_stays(venue):
    run(venue, csv_of(WINCH, WINCH | {"tag": "W8"}, ROPE))
    changed = {"row": "equipment", "tag": "W7", "name": "Paint winch", "rated: whole": "600 kg",
               "rated source: whole": "plate", "place": "Scene dock", "field: travel": "(none)"}  # fmt: skip
    rope = {"row": "part", "tag": "W7", "part code": "line 1", "field: lay_type": "lang"}
    comparison = run(venue, csv_of(changed, rope))
    winch = Equipment.objects.get(venue=venue, tag="W7")
    assert (winch.name, winch.place.name) == ("Paint winch", "Scene dock")
    assert winch.fields["service"] == "normal"
    assert "travel" not in winch.fields
    load = winch.rated_loads.get()
    assert (load.quantity["typed"], load.source) == ("600 kg", "plate")
    assert winch.parts.get().fields["lay_type"] == "lang"
    assert winch.parts.get().fields["construction"] == "7x19"
    assert comparison.untouched_equipment == ["W8"]
    assert Equipment.objects.filter(venue=venue).count() == 2


def test_the_log_has_one_line_for_the_file_and_one_for_each_equipment_in_one_tree(venue):
    run(venue, csv_of(WINCH, ROPE, WINCH | {"tag": "W8"}))
    run(venue, csv_of(ROPE | {"identifier": "", "field: lay_type": "lang"}))
    lines = list(LogLine.objects.in_venue(venue).order_by("number"))
    assert [(line.did, line.label) for line in lines] == [
        ("import_register", "Larkspur"),
        ("create_equipment_by_import", "W7 Paint frame winch"),
        ("create_equipment_by_import", "W8 Paint frame winch"),
        ("import_register", "Larkspur"),
        ("change_equipment_by_import", "W7 Paint frame winch"),
    ]
    assert '"after":{"part line 1":{"field: lay_type":"lang"}}' in lines[4].body
    assert whole(venue) == 5


def test_a_house_that_moved_on_since_the_trial_is_not_changed(venue):
    content = csv_of(WINCH | {"name": "Renamed"})
    run(venue, csv_of(WINCH))
    shown = try_register(venue=venue, content=content, at=NOW).digest()
    Equipment.objects.filter(tag="W7").update(name="Renamed by hand")
    with pytest.raises(RegisterMovedOn) as refusal:
        run(venue, content, expected=shown)
    assert refusal.value.comparison.changes[0].differences[0].before == "Renamed by hand"
    assert Equipment.objects.get(tag="W7").name == "Renamed by hand"


def test_other_venues_are_neither_read_nor_written(venue):
    other = make_venue("tern-studio")
    make_equipment(other, "W7")
    run(venue, csv_of(WINCH))
    assert Equipment.objects.get(venue=other).name == "Winch W7"
    assert counts(other)[1] == counts(venue)[1] == 1


def test_a_retired_part_is_no_part_of_the_register_and_its_position_is_free(venue):
    winch = make_equipment(venue)
    old = make_rope(winch)
    Part.objects.filter(pk=old.pk).update(retired_on=TODAY, retired_why="Worn")
    run(venue, csv_of(ROPE | {"tag": "W1"}))
    old.refresh_from_db()
    assert (old.identifier, old.retired_why) == ("R-1", "Worn")
    assert winch.parts.filter(retired_on__isnull=True).get().identifier == "R-7"


def test_new_places_take_free_short_names(venue):
    Place.objects.create(venue=venue, slug="gridiron", name="Gridiron over the studio")
    run(venue, csv_of(WINCH, WINCH | {"tag": "W8", "place": "舞台"}))
    slugs = set(venue.places.values_list("slug", flat=True))
    assert slugs == {"gridiron", "stage-house", "gridiron-2", "place"}


@pytest.mark.parametrize("file_type", ["csv", "xlsx"])
def test_the_demo_house_leaves_and_comes_back_unchanged(file_type):
    open_larkspur(timezone.now())
    venue = Venue.objects.get(slug="larkspur")
    content = register_file(venue, file_type, timezone.now().date())
    comparison = try_register(venue=venue, content=content, at=timezone.now())
    assert (comparison.faults, comparison.changes) == ([], [])
    assert comparison.unchanged["equipment"] == venue.equipment.count() > 0
    assert comparison.unchanged["place"] == venue.places.count()
    assert comparison.untouched_equipment == comparison.untouched_parts == []


def test_an_export_builds_the_same_house_elsewhere(venue):
    run(venue, csv_of(*winches(12)))
    other = make_venue("tern-studio")
    run(other, register_file(venue, "xlsx", TODAY))
    one, two = (register_rows_of(one, TODAY).house for one in (venue, other))
    assert (one.places, one.equipment, one.parts) == (two.places, two.equipment, two.parts)


def queries_of(venue: Venue, rows: list[dict[str, str]]) -> int:
    with CaptureQueriesContext(
        connection,
    ) as queries:
        run(venue, csv_of(*rows))
    return len(queries)


def test_the_number_of_queries_does_not_grow_with_the_rows(venue):
    few, many = make_venue("few"), make_venue("many")
    # 30 rows and 300; SQLite takes 999 values in one statement, so there it is a few batches more.
    created = [queries_of(few, winches(15)), queries_of(many, winches(150))]
    assert created[0] < 40
    assert created[1] - created[0] <= 12
    changed = [queries_of(few, winches(15, name="New")), queries_of(many, winches(150, name="New"))]
    assert changed[0] < 25
    assert changed[1] - changed[0] <= 8


def test_reading_the_register_takes_four_queries(venue, django_assert_num_queries):
    run(venue, csv_of(*winches(12)))
    with django_assert_num_queries(4):
        register_rows_of(venue, TODAY)


def test_five_thousand_rows_are_taken_over_and_changed(venue):
    done = run(venue, csv_of(*winches(2_500)))
    assert len(done.created("equipment")) == len(done.created("part")) == 2_500
    assert len(run(venue, csv_of(*winches(2_500, name="New"))).changes) == 2_500


def command(path, content: bytes, *options: str) -> str:
    path.write_bytes(content)
    out = io.StringIO()
    call_command("import_register", str(path), "--venue", "larkspur", *options, stdout=out)
    return out.getvalue()


def test_the_command_imports_and_says_what_it_did(venue, tmp_path):
    said = command(tmp_path / "r.csv", csv_of(WINCH, ROPE))
    assert "Row 2: new equipment W7 Paint frame winch" in said
    assert "Created: 2 places, 1 piece of equipment, 1 part." in said
    assert LogLine.objects.in_venue(venue).first().by_name == "Loftbook (by itself)"
    assert "changes nothing" in command(tmp_path / "r.csv", csv_of(WINCH, ROPE))


def test_the_command_tries_without_changing(venue, tmp_path):
    said = command(tmp_path / "r.csv", csv_of(WINCH), "--dry-run")
    assert "Nothing is changed yet." in said
    assert counts(venue) == (0, 0, 0, 0, 0)


def test_the_command_logs_under_a_person_who_may(venue, tmp_path):
    manager, stagehand = make_person(venue, "manager"), make_person(venue, "stagehand")
    command(tmp_path / "r.csv", csv_of(WINCH), "--by", manager.email)
    assert LogLine.objects.get(did="import_register").by == manager
    with pytest.raises(CommandError, match="may not change"):
        command(tmp_path / "r.csv", csv_of(WINCH), "--by", stagehand.email)


@pytest.mark.parametrize("options", [(), ("--dry-run",)])
def test_the_command_fails_with_status_1_on_faults(venue, tmp_path, options):
    with pytest.raises(CommandError) as refusal:
        command(tmp_path / "r.csv", csv_of(WINCH | {"name": ""}), *options)
    assert refusal.value.returncode == 1
    with pytest.raises(CommandError, match="CSV UTF-8"):
        command(tmp_path / "r.csv", csv_of(WINCH | {"name": "é"}, encoding="cp1252"), *options)


def test_the_command_says_which_venues_there_are_and_which_file_is_missing(venue, tmp_path):
    with pytest.raises(CommandError, match="larkspur"):
        call_command("import_register", "r.csv", "--venue", "larkspurr")
    with pytest.raises(CommandError, match="cannot be read"):
        call_command("import_register", str(tmp_path / "none.csv"), "--venue", "larkspur")
