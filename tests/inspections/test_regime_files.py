"""Every regime file is sound, and a faulty one is refused with its name and the fault."""

from collections import Counter
from pathlib import Path

import pytest

from inspections.calendar_rules import read_interval
from inspections.regime_files import (
    FaultyRegimeFile,
    parse_regime,
    regimes,
    regimes_for,
    regimes_in,
    with_known_limits,
)
from inspections.regime_shapes import LEVELS, OUTCOMES
from venue.kind_files import kinds, part_kinds
from venue.quantities import read_quantity

ONE_CHECK = """[[check]]
slug = "gap"
question = "How wide is the gap?"
answer = "measured"
dimension = "length"
unit_metric = "mm"
unit_us = "in"
minimum = "0 mm"
maximum = "1/4 in"
limit_text = "1/4 in"
on_fail = "used_until_date"
source = "rule"
"""
GOOD = (
    """slug = "try"
title = "Try"
families = ["winch"]
level = "competent_person"
trigger = "calendar"
interval = "P1M"
interval_source = "rule"
lawful_slack = "P0D"
[[source]]
key = "rule"
document = "A rule"
clause = "1"
verified = "document"
"""
    + ONE_CHECK
)


def every_check():
    return [(regime, check) for regime in regimes().values() for check in regime.checks]


def test_every_regime_file_is_sound_and_enough_checks_have_a_verified_source():
    found = every_check()
    assert len(regimes()) >= 100
    assert len(found) >= 400
    assert len({check.slug for _, check in found}) >= 350
    verified = {check.slug for _, check in found if check.source.is_verified}
    assert len(verified) >= 60, "distinct checks with a verified source"
    assert {regime.level for regime, _ in found} == set(LEVELS)
    assert {check.on_fail for _, check in found} == set(OUTCOMES)


def test_every_kind_has_something_to_do_before_use_and_by_the_calendar():
    assert len(kinds()) == 16
    for kind in kinds().values():
        counted = Counter(regime.trigger for regime in regimes_for(kind, {}))
        assert counted["calendar"] >= 4, kind.slug
        assert counted["before_use"] + counted["event"] >= 1, kind.slug


def test_no_check_rests_on_a_figure_from_memory():
    seen = [check for _, check in every_check() if check.minimum or check.maximum]
    assert len(seen) >= 60
    assert not [check.slug for check in seen if check.source.verified == "from memory"]


def test_only_a_house_habit_may_be_late():
    dated = [regime for regime in regimes().values() if regime.interval]
    assert len(dated) >= 60
    for regime in dated:
        late = not read_interval(regime.lawful_slack).is_zero
        assert late == (regime.interval_source.verified == "common practice") or (
            not late and regime.interval == "P1D"
        ), regime.slug


def test_a_rope_is_observed_in_every_family_that_hangs_from_ropes():
    asked = {
        family
        for regime, check in every_check()
        if check.answer == "rope" and regime.interval
        for family in (*regime.families, *(kinds()[slug].family for slug in regime.kinds))
    }
    assert asked == {"counterweight_set", "winch", "fire_safety_curtain"}


def test_a_lift_that_carries_people_is_examined_in_half_the_time():
    lift = kinds()["pit_lift_screw"]

    def thorough(fields: dict) -> set[str]:
        return {
            regime.interval
            for regime in regimes_for(lift, fields)
            if regime.level == "outside_examiner" and regime.slug.startswith("thorough")
        }

    assert thorough({"carries_people": True}) == {"P6M"}
    assert thorough({"carries_people": False}) == {"P1Y"}
    assert thorough({}) == {"P6M", "P1Y"}, "not known: both are offered"


def test_the_frozen_text_reads_back_to_the_same_regime():
    assert len(regimes()) >= 100
    for regime in regimes().values():
        assert parse_regime(regime.body, f"{regime.slug}.toml") == regime


BAD = {
    "no source at all": (("[[source]]", "[[sauce]]"), "unknown key sauce"),
    "source without a document": (('"A rule"', '""'), "without a document"),
    "source without its backing": (('verified = "document"', ""), "'verified' is missing"),
    "backing unknown": (('verified = "document"', 'verified = "sure"'), "'sure' is not known"),
    "check without a source": (('\nsource = "rule"', ""), "'gap': 'source' is missing"),
    "source not in the file": (('\nsource = "rule"', '\nsource = "other"'), "'other' is not in"),
    "dimension": (('dimension = "length"', 'dimension = "longness"'), "dimension 'longness'"),
    "unit": (('unit_us = "in"', 'unit_us = "lb"'), "'lb' is not a unit of length"),
    "limit in another dimension": (('"1/4 in"\nlimit', '"1/4 lb"\nlimit'), "is not a length"),
    "limit without a unit": (('"1/4 in"\nlimit', '"6"\nlimit'), "Type the unit too"),
    "limits crossed": (('minimum = "0 mm"', 'minimum = "9 mm"'), "above the maximum"),
    "limit without words": (('limit_text = "1/4 in"\n', ""), "in words"),
    "figure from memory": (('verified = "document"', 'verified = "from memory"'), "memory"),
    "half a limit": (('maximum = "1/4 in"', 'maximum_from = "field:x"'), "pass by half"),
    "limit of nowhere": (('maximum = "1/4 in"', 'maximum_from = "x"'), "is not like field:name"),
    "level": (('"competent_person"', '"anybody"'), "level 'anybody'"),
    "trigger": (('trigger = "calendar"', 'trigger = "mood"'), "trigger 'mood'"),
    "interval": (('interval = "P1M"', 'interval = "monthly"'), "is not an interval"),
    "interval of nothing": (('interval = "P1M"', 'interval = "P0D"'), "never comes round"),
    "interval without the calendar": (('"calendar"', '"before_use"'), "goes with the calendar"),
    "interval without a source": (('interval_source = "rule"\n', ""), "'interval_source' is"),
    "late against a rule": (('"P0D"', '"P7D"'), "is a maximum"),
    "outcome": (('"used_until_date"', '"shrug"'), "on_fail 'shrug'"),
    "risk that stays in use": (('"used_until_date"', '"imminent_risk"'), "out of service"),
    "answer": (('answer = "measured"', 'answer = "checked"'), "answer 'checked'"),
    "measured without a dimension": (('answer = "measured"', 'answer = "yes_no"'), "goes with"),
    "rope of no rope": (
        ('answer = "measured"\ndimension = "length"', 'answer = "rope"'),
        "needs a dimension",
    ),
    "strange key in a check": (("on_fail =", "on_fale ="), "unknown key on_fale"),
    "no outcome": (('on_fail = "used_until_date"\n', ""), "'on_fail' is missing"),
    "nobody's": (('families = ["winch"]', ""), "no family and no kind"),
    "no check": ((ONE_CHECK, ""), "no check"),
    "check twice": (
        (GOOD[GOOD.index("[[check]]") :], GOOD[GOOD.index("[[check]]") :] * 2),
        "twice",
    ),
    "no title": (('title = "Try"\n', ""), "'title' is missing"),
    "not toml": (("[[check]]", "[[check"), "try.toml"),
}


def test_the_example_regime_of_these_tests_is_itself_sound():
    assert parse_regime(GOOD, "try.toml").checks[0].maximum.typed == "1/4 in"


@pytest.mark.parametrize("name", BAD)
def test_a_faulty_regime_is_refused_with_its_name_and_the_fault(name: str):
    (old, new), fault = BAD[name]
    assert GOOD.count(old) >= 1
    with pytest.raises(FaultyRegimeFile) as refused:
        parse_regime(GOOD.replace(old, new, 1), "try.toml")
    assert str(refused.value).startswith("try.toml: ")
    assert fault in str(refused.value)


MISFITS = {
    "family": (('families = ["winch"]', 'families = ["ship"]'), "family 'ship' is not known"),
    "kind": (('families = ["winch"]', 'kinds = ["ship"]'), "kind 'ship' is not known"),
    "part kind": (('source = "rule"\n', 'source = "rule"\npart_kind = "sail"\n'), "'sail'"),
    "part nobody has": (
        ('\nsource = "rule"\n', '\nsource = "rule"\npart_kind = "arbor"\n'),
        "none of its kinds has a arbor",
    ),
    "variant field": (
        ("[[source]]", '[variant]\nfield = "x"\nis = ["y"]\n[[source]]'),
        "no choice",
    ),
    "variant value": (
        ("[[source]]", '[variant]\nfield = "service"\nis = ["lazy"]\n[[source]]'),
        "'lazy' is not a value of service",
    ),
    "limit of no field": (
        ('minimum = "0 mm"\nmaximum = "1/4 in"', 'maximum_from = "field:x"'),
        "there is no field:x",
    ),
    "limit of another dimension": (
        ('minimum = "0 mm"\nmaximum = "1/4 in"', 'maximum_from = "load:whole"'),
        "no load:whole in length",
    ),
    "file name": (('slug = "try"', 'slug = "tried"'), "is not the file's name"),
}


@pytest.mark.parametrize("name", MISFITS)
def test_a_regime_that_does_not_fit_its_kinds_is_refused(name: str, tmp_path: Path):
    (old, new), fault = MISFITS[name]
    assert GOOD.count(old) >= 1
    (tmp_path / "try.toml").write_text(new.join(GOOD.rsplit(old, 1)))
    with pytest.raises(FaultyRegimeFile) as refused:
        regimes_in(tmp_path, kinds(), part_kinds())
    assert str(refused.value).startswith("try.toml: ")
    assert fault in str(refused.value)


def check_of(regime: str, slug: str):
    check = regimes()[regime].check(slug)
    assert check is not None
    return check


def test_the_equipments_own_figure_becomes_the_limit_of_the_check():
    load = check_of("pit_lift_before_use", "load_on_platform")
    rated = {"moving": read_quantity("4000 kg", "mass").stored()}
    filled, missing = with_known_limits(load, {}, rated)
    assert missing == []
    assert filled.maximum.typed == "4000 kg"
    spotters = check_of("pit_lift_before_use", "spotters_answered")
    filled, missing = with_known_limits(spotters, {"blind_edges": 2}, {})
    assert (filled.minimum.si, missing) == (2, [])


def test_a_figure_nobody_entered_leaves_no_limit_and_is_named():
    load = check_of("pit_lift_before_use", "load_on_platform")
    filled, missing = with_known_limits(load, {}, {})
    assert (filled.minimum, filled.maximum, missing) == (None, None, ["moving"])
    assert filled.limit_text, "words without a figure cannot be decided"


def test_one_missing_end_of_a_range_takes_the_other_end_away_too():
    tension = check_of("anchor_line_yearly", "line_tension")
    low = {"line_tension_low": read_quantity("1 kN", "force").stored()}
    filled, missing = with_known_limits(tension, low, {})
    assert (filled.minimum, filled.maximum, missing) == (None, None, ["line_tension_high"])


def test_the_regimes_figure_stands_until_the_venue_enters_its_own():
    closing = check_of("fire_curtain_monthly", "full_closing_time")
    filled, missing = with_known_limits(closing, {}, {})
    assert (filled.maximum.typed, missing) == ("30 s", [])
    own = {"closing_time_limit": read_quantity("25 s", "time").stored()}
    assert with_known_limits(closing, own, {})[0].maximum.typed == "25 s"
