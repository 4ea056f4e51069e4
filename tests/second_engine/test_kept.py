"""A run that was stopped goes on where it was, and never passes over a disagreement."""

import json
from collections import Counter
from dataclasses import replace

import pytest

from tests.second_engine.comparing import Tally, compared
from tests.second_engine.kept import keep, kept
from tests.second_engine.lots import LARGEST, Lot, lots, made

LOT = Lot("asme-b30-2", 1, 0, 50)
WHOLE = Tally(examples=50, states=Counter(fit=30, retire=20))


def test_a_lot_that_is_through_is_not_asked_again(tmp_path):
    file = tmp_path / "kept.jsonl"

    keep(LOT, WHOLE, file)

    assert kept(file) == {LOT: WHOLE}


def test_a_lot_with_a_disagreement_is_asked_again(tmp_path):
    file = tmp_path / "kept.jsonl"

    keep(LOT, replace(WHOLE, differing=1), file)

    assert kept(file) == {}


@pytest.mark.parametrize("changed", [{"hash": "0" * 64}, {"ruleset": "gone"}])
def test_what_an_engine_or_a_rule_set_said_before_it_changed_counts_for_nothing(tmp_path, changed):
    file = tmp_path / "kept.jsonl"
    keep(LOT, WHOLE, file)

    file.write_text(json.dumps(json.loads(file.read_text()) | changed) + "\n")

    assert kept(file) == {}


def test_a_line_that_was_cut_off_counts_for_nothing(tmp_path):
    file = tmp_path / "kept.jsonl"
    keep(LOT, WHOLE, file)
    file.write_text(file.read_text() + file.read_text()[:40])

    keep(replace(LOT, place=1), WHOLE, file)

    assert kept(file) == {LOT: WHOLE, replace(LOT, place=1): WHOLE}


def test_a_short_run_begins_a_longer_one_and_every_lot_holds_what_it_says():
    short, longer = lots(LARGEST, seed=1), lots(2 * LARGEST + 7, seed=1)

    assert set(short) < set(longer)
    assert sum(lot.size for lot in longer) == (2 * LARGEST + 7) * len(short)
    assert compared(made(LOT)).examples == LOT.size


def test_two_lots_ask_different_ropes_and_one_lot_the_same_ones_again():
    assert list(made(LOT)) == list(made(LOT))
    assert list(made(LOT)) != list(made(replace(LOT, place=1)))
