"""The section laid out: height decides, nothing lies on anything else, no state gets lost."""

from __future__ import annotations

from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from inspections.section.bodies import building_of
from inspections.section.chips import chips_of
from inspections.section.floors import floor_of, floors
from inspections.section.layout import drawing_of
from inspections.section.shapes import (
    DESK,
    PHONE,
    STATES,
    Chip,
    Drawing,
    Piece,
    Put,
    PutRoom,
    Room,
    Spot,
)
from inspections.section.text_widths import broken_lines, text_width
from venue.kind_files import kinds
from venue.place_sides import SIDES

STAGE_HOUSE, AUDITORIUM = Spot(1, "Stage house", None, 3), Spot(2, "Auditorium", None, 3)
PIT, STAGE = Spot(3, "Machine pit", 1, 0), Spot(4, "Stage", 1, 1, is_stage=True)
GRID, CATWALKS = Spot(5, "Gridiron", 1, 4, floor="open"), Spot(6, "Catwalks", 2, 4, floor="bridge")
ROOF = Spot(7, "Roof", None, 6)
HOUSE = (STAGE_HOUSE, PIT, STAGE, GRID, AUDITORIUM, CATWALKS, ROOF)
NAMES = ["Pit", "Stage and forestage", "Upper void", "Donaudampfschifffahrtsgesellschaftsraum"]


def room(spot: Spot, chips: int = 1) -> Room:
    marks = tuple(Chip(f"W{n}", f"W{n}, Winch: Watch", "watch", n) for n in range(1, chips + 1))
    return Room(spot, spot.name, marks)


def drawn(spots=HOUSE, size=DESK, chips: int = 1) -> Drawing:
    holding = {spot.parent for spot in spots}
    found = drawing_of(spots, [room(s, chips) for s in spots if s.key not in holding], size)
    assert found is not None
    return found


def put(drawing: Drawing, spot: Spot) -> PutRoom:
    return next(each for each in drawing.rooms if each.room.spot == spot)


def base(drawing: Drawing, spot: Spot) -> int:
    at = put(drawing, spot).at
    return at.y + at.height


def inside(one: Put, other: Put) -> bool:
    return (
        other.x <= one.x and one.x + one.width <= other.x + other.width
        and other.y <= one.y and one.y + one.height <= other.y + other.height
    )  # fmt: skip


def overlap(one: Put, other: Put) -> bool:
    beside = one.x + one.width <= other.x or other.x + other.width <= one.x
    return not beside and one.y < other.y + other.height and other.y < one.y + one.height


def test_what_is_higher_in_the_house_is_higher_in_the_drawing_and_is_read_first() -> None:
    for size in (DESK, PHONE):
        house = drawn(size=size)
        heights = [base(house, spot) for spot in (ROOF, GRID, STAGE, PIT)]
        assert heights == sorted(heights)
        of_stage = [each.room.spot.name for each in house.rooms if each.room.spot.parent == 1]
        assert house.rooms[0].room.spot == ROOF
        assert of_stage == ["Gridiron", "Stage", "Machine pit"]


def test_the_same_height_in_two_parts_of_the_building_is_one_line_at_a_desk() -> None:
    house = drawn()
    assert base(house, GRID) == base(house, CATWALKS)
    assert put(house, GRID).at.x < put(house, CATWALKS).at.x
    assert [words for _, _, words in house.bodies] == ["Stage house", "Auditorium"]


def test_on_a_phone_the_parts_of_the_building_stand_under_each_other() -> None:
    house = drawn(size=PHONE)
    assert base(house, PIT) < put(house, CATWALKS).at.y
    assert {each.at.x + each.at.width for each in house.rooms} == {PHONE.width - 12}


def test_a_roof_covers_the_whole_house_and_the_earth_lies_beside_the_pit() -> None:
    house = drawn()
    roof = put(house, ROOF).at
    assert (roof.x, roof.width) == (12, DESK.width - 24)
    ground = next(line for line in house.lines if line.look == "ground")
    assert ground.y1 == base(house, STAGE)
    assert house.earth
    assert all(each.y >= ground.y1 for each in house.earth)
    under_the_seats = put(house, CATWALKS).at
    assert any(each.x == under_the_seats.x for each in house.earth)
    without = drawn([spot for spot in HOUSE if spot != PIT])
    assert without.earth == ()


def test_between_the_stage_and_the_auditorium_there_is_a_way() -> None:
    house, stage = drawn(), put(drawn(), STAGE).at
    shared = put(house, CATWALKS).at.x
    middle = stage.y + stage.height // 2
    walls = [line for line in house.lines if line.look == "wall" and line.x1 == line.x2]
    assert not any(line.x1 == shared and line.y1 < middle < line.y2 for line in walls)
    assert any(line.x1 == 12 and line.y1 < middle < line.y2 for line in walls)


def test_every_floor_is_drawn_as_what_it_is() -> None:
    house = drawn((*HOUSE, Spot(8, "Gallery", 1, 2, floor="gallery")))
    looks = [line.look for line in house.lines]
    for look in ("floor-open", "floor-bridge", "floor-gallery", "floor-solid"):
        assert look in looks
    on_the_stage = drawn([STAGE_HOUSE, Spot(9, "Stage", 1, 0, is_stage=True, floor="gallery")])
    assert "floor-gallery" not in [line.look for line in on_the_stage.lines]


def test_every_kind_that_gives_a_floor_is_a_kind() -> None:
    assert set(floors()) <= set(kinds())
    assert floor_of(["drum_winch"]) == "solid"


def test_a_house_without_places_has_no_drawing_and_one_of_a_list_is_one_body() -> None:
    assert drawing_of([], [], DESK) is None
    flat = [Spot(number, f"Place {number}", None, 0) for number in range(1, 31)]
    house = drawn(flat)
    assert len(house.rooms) == 30
    assert house.bodies == ()
    assert house.earth == ()


def test_a_place_that_would_stand_in_itself_ends_the_walk() -> None:
    ring = [Spot(1, "One", 2, 0), Spot(2, "Two", 1, 0)]
    bodies = building_of(ring, [room(spot) for spot in ring]).bodies
    assert [each.spot.name for body in bodies for each in body.rooms] == ["One", "Two"]


tree = st.lists(
    st.tuples(st.integers(0, 7), st.integers(0, 5), st.sampled_from(NAMES), st.integers(0, 14),
              st.sampled_from(["", *SIDES])),
    min_size=1, max_size=14,
)  # fmt: skip


@settings(max_examples=60)
@given(tree=tree, size=st.sampled_from([DESK, PHONE]))
def test_in_any_house_every_place_has_a_room_of_its_own_and_its_marks_lie_in_it(tree, size) -> None:
    spots = [
        Spot(key, name, above if 0 < above < key else None, level, is_stage=key % 4 == 0, side=side)
        for key, (above, level, name, _, side) in enumerate(tree, 1)
    ]
    rooms = [room(spot, row[3]) for spot, row in zip(spots, tree, strict=True)]
    house = drawing_of(spots, rooms, size)
    assert house is not None
    assert sorted(each.room.spot.key for each in house.rooms) == [spot.key for spot in spots]
    page = Put(0, 0, house.width, house.height)
    for each in house.rooms:
        assert inside(each.at, page)
        assert len(each.chips) == len(each.room.chips)
        assert all(inside(chip.at, each.at) for chip in each.chips)
        assert inside(each.title_at, each.at)
        for one, other in combinations([each.title_at, *(chip.at for chip in each.chips)], 2):
            assert not overlap(one, other)
    for one, other in combinations(house.rooms, 2):
        assert not overlap(one.at, other.at)
    ground = [room for room in house.rooms if room.room.spot.is_stage]
    assert not ground or any(line.look == "ground" for line in house.lines)


pieces = st.lists(st.sampled_from(STATES), max_size=40)


@given(states=pieces, most=st.integers(0, 12))
def test_no_state_gets_lost_however_many_pieces_stand_there(states: list[str], most: int) -> None:
    there = [Piece(n, f"W{n}", "Winch", 1, state, "said") for n, state in enumerate(states, 1)]
    chips = chips_of(there, most, lambda state, number: (str(number), f"{number} {state}"))
    shown = dict.fromkeys(STATES, 0)
    for chip in chips:
        shown[chip.state] += 1 if chip.piece else int(chip.text)
    assert shown == {state: states.count(state) for state in STATES}
    assert [STATES.index(chip.state) for chip in chips] == sorted(
        STATES.index(chip.state) for chip in chips
    )
    assert len(chips) <= max(most, len(set(states)))


def test_words_are_broken_and_cut_to_their_room() -> None:
    for words in (*NAMES, "", "a b c d e f g h i j k l m n o p"):
        for line in broken_lines(words, 90, 14):
            assert text_width(line, 14, bold=True) <= 90
    assert len(broken_lines("one two three four five six seven eight", 60, 14)) == 2


RIGHT_GALLERY = Spot(10, "Prompt gallery", 1, 3, floor="gallery", side="stage right")
LEFT_GALLERY = Spot(9, "Fly gallery", 1, 3, floor="gallery", side="stage left")
DOCK = Spot(11, "Scene dock", 1, 1, side="stage left")
WORKSHOP = Spot(12, "Workshop", 1, 1, side="stage right")


def test_stage_right_lies_on_the_left_of_the_sheet_and_stage_left_on_its_right() -> None:
    house = drawn((*HOUSE, LEFT_GALLERY, RIGHT_GALLERY, DOCK, WORKSHOP))
    right, left = put(house, RIGHT_GALLERY).at, put(house, LEFT_GALLERY).at
    assert right.x + right.width <= left.x
    workshop, stage, dock = (put(house, each).at for each in (WORKSHOP, STAGE, DOCK))
    assert workshop.x < stage.x < dock.x
    between = [line for line in house.lines if line.look == "partition" and line.x1 == left.x]
    assert between == []  # air, and no wall


def test_a_gallery_alone_at_its_height_hangs_at_the_wall_of_its_side() -> None:
    grid = put(drawn((*HOUSE, LEFT_GALLERY)), GRID).at
    walls = grid.x, grid.x + grid.width
    for spot, wall in ((LEFT_GALLERY, 1), (RIGHT_GALLERY, 0)):
        house = drawn((*HOUSE, spot))
        at = put(house, spot).at
        edges = at.x, at.x + at.width
        assert edges[wall] == walls[wall]
        assert at.width < grid.width
        [rail] = [
            line for line in house.lines if line.look == "rail" and line.y2 == at.y + at.height
        ]
        assert (rail.x1 > at.x + at.width // 2) == (wall == 0)  # at the end that is free
    nowhere = Spot(9, "Fly gallery", 1, 3, floor="gallery")
    assert (
        put(drawn((*HOUSE, nowhere)), nowhere).at.width == grid.width
    )  # of which nobody said where it hangs


def test_places_without_a_side_keep_their_order_between_those_that_have_one() -> None:
    spots = [Spot(1, "House", None, 9), *(Spot(n, f"Room {n}", 1, 1) for n in (2, 3)),
             Spot(4, "Left", 1, 1, side="stage left"), Spot(5, "Right", 1, 1, side="stage right"),
             Spot(6, "Middle", 1, 1, side="centre")]  # fmt: skip
    [body] = building_of(spots, [room(spot) for spot in spots[1:]]).bodies
    assert [each.spot.name for each in body.at(1)] == [
        "Right",
        "Room 2",
        "Room 3",
        "Middle",
        "Left",
    ]
