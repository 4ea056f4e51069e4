"""Read limit sets from files; refuse what is incomplete, naming file and fault. Pure."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

from rigging.engine.faults import RuleSetRefused, each, mapping, one_of, refuse_unknown, text
from rigging.engine.known_misprints import refuse_known_misprints
from rigging.engine.limit_sets import Bound, LimitExample, LimitSet, PrintedLimit
from rigging.engine.ruleset_files import content_hash
from rigging.engine.rulesets import UNVERIFIED, VERIFIED, Source
from rigging.engine.verdicts import ASKS, Outcome
from venue.quantities import DIMENSIONS, UnreadableQuantity, read_quantity

FOLDER = Path(__file__).parent.parent / "rulesets" / "limits"
SUBJECTS = ("lifts", "beam detectors", "access", "brakes and hoists")
OUTCOMES = (Outcome.RETIRE, Outcome.OUT_OF_SERVICE, Outcome.RESTRICT, Outcome.WATCH)
TEXTS = ("slug", "title", "subject", "jurisdiction", "applies_to")
LIMIT = (
    "slug", "words", "clause", "source", "dimension", "outcome", "verified", "at_least", "at_most",
    "asks", "action", "note", "off", "two_points", "within",
)  # fmt: skip
EXAMPLE = ("limit", "name", "kind", "source", "reading", "facts", "expect")
EXPECTED = ("verdict", "state", "missing", "margin")


@cache
def load_limit_sets(folder: Path = FOLDER) -> dict[str, LimitSet]:
    """Every limit set of a folder by its slug."""
    found = {}
    for path in sorted(folder.glob("*.toml")):
        try:
            parsed = tomllib.loads(path.read_text(encoding="utf-8"))
        except (tomllib.TOMLDecodeError, UnicodeDecodeError) as fault:
            raise RuleSetRefused(path.name, f"it is not readable TOML: {fault}") from fault
        read = read_limit_set(parsed, path.name)
        if read.slug != path.stem:
            raise RuleSetRefused(path.name, f"its slug {read.slug!r} is not the file's name.")
        found[read.slug] = read
    return found


def printed_limit(name: str) -> PrintedLimit | None:
    """The limit that "set:limit" names, or None."""
    set_slug, _, slug = name.partition(":")
    found = load_limit_sets().get(set_slug)
    return found.limit(slug) if found else None


def read_limit_set(parsed: Mapping[str, Any], name: str) -> LimitSet:
    """A limit set from parsed content; `name` is what refusals call it."""
    refuse_unknown(name, "the limit set", parsed, (*TEXTS, "source", "limit", "example"))
    texts = {key: text(name, "the limit set", parsed, key) for key in TEXTS}
    one_of(name, "the limit set", parsed, "subject", SUBJECTS)
    sources = {row.get("key"): _source(name, row) for row in each(name, parsed, "source")}
    limits = tuple(_limit(name, row, sources) for row in each(name, parsed, "limit"))
    slugs = [limit.slug for limit in limits]
    if twice := sorted({slug for slug in slugs if slugs.count(slug) > 1}):
        raise RuleSetRefused(name, f"limit {twice[0]!r} is there twice.")
    examples = tuple(_example(name, row, slugs) for row in each(name, parsed, "example"))
    refuse_known_misprints(name, parsed)
    shown = {example.limit for example in examples}
    if bare := [limit.slug for limit in limits if not limit.off and limit.slug not in shown]:
        raise RuleSetRefused(name, f"limit {bare[0]} has no example.")
    return LimitSet(**texts, limits=limits, examples=examples, hash=content_hash(parsed))


def _source(name: str, row: Mapping[str, Any]) -> Source:
    keys = ("document", "edition", "clause", "backing")
    refuse_unknown(name, "a source", row, (*keys, "key", "note"))
    text(name, "a source", row, "key")
    said = {key: text(name, "a source", row, key) for key in keys}
    return Source(**said, note=str(row.get("note", "")))


def _limit(
    name: str, row: Mapping[str, Any], sources: Mapping[Any, Source]
) -> PrintedLimit:  # fmt: skip
    slug = text(name, "a limit", row, "slug")
    where = f"limit {slug}"
    refuse_unknown(name, where, row, LIMIT)
    if row.get("source") not in sources:
        raise RuleSetRefused(name, f"{where}: its source is not in the file.")
    verified = one_of(name, where, row, "verified", VERIFIED)
    if verified in UNVERIFIED and not row.get("off"):
        raise RuleSetRefused(name, f"{where} is known only {verified}: it is switched off.")
    dimension = one_of(name, where, row, "dimension", DIMENSIONS)
    least, most = (_bound(name, where, row, end, dimension) for end in ("at_least", "at_most"))
    points = str(row.get("two_points", ""))
    if bool(least or most) == bool(points):
        raise RuleSetRefused(name, f"{where}: it has at_least, at_most, or two_points.")
    if least and most and least.figure and most.figure and least.figure.si > most.figure.si:
        raise RuleSetRefused(name, f"{where}: at_least lies above at_most.")
    return PrintedLimit(
        slug=slug, words=text(name, where, row, "words"), clause=text(name, where, row, "clause"),
        source=sources[row["source"]], dimension=dimension, verified=verified,
        outcome=Outcome(one_of(name, where, row, "outcome", OUTCOMES)),
        at_least=least, at_most=most, off=str(row.get("off", "")), two_points=points,
        asks=one_of(name, where, row, "asks", ASKS) if "asks" in row else "",
        action=str(row.get("action", "")), note=str(row.get("note", "")),
        within=_figure(name, where, row["within"], dimension).si if "within" in row else None,
    )  # fmt: skip


def _bound(name: str, where: str, row: Mapping[str, Any], end: str, dimension: str) -> Bound | None:
    said = row.get(end)
    if said is None:
        return None
    if not isinstance(said, Mapping):
        return Bound(_figure(name, where, said, dimension))
    refuse_unknown(name, f"{end} of {where}", said, ("times", "of"))
    try:
        times = Fraction(str(said.get("times", "1")))
    except ValueError as fault:
        raise RuleSetRefused(name, f"{where}: times is a number.") from fault
    return Bound(times=times, of=text(name, f"{end} of {where}", said, "of"))


def _figure(name: str, where: str, said: object, dimension: str) -> Any:
    if isinstance(said, bool) or not isinstance(said, str | int):
        raise RuleSetRefused(name, f"{where}: {said!r} is not a whole number or a text.")
    try:
        return read_quantity(str(said), dimension, allow_negative=True)
    except UnreadableQuantity as fault:
        raise RuleSetRefused(name, f"{where}: {fault}") from fault


def _example(name: str, row: Mapping[str, Any], slugs: list[str]) -> LimitExample:
    refuse_unknown(name, "an example", row, EXAMPLE)
    limit = one_of(name, "an example", row, "limit", tuple(slugs))
    expect = mapping(name, f"an example of {limit}", row, "expect")
    refuse_unknown(name, "an example's expect", expect, EXPECTED)
    if not {"verdict", "state"} & set(expect):
        raise RuleSetRefused(name, f"an example of {limit} expects neither verdict nor state.")
    reading = row.get("reading", {})
    return LimitExample(
        limit=limit, name=text(name, f"an example of {limit}", row, "name"),
        kind=text(name, f"an example of {limit}", row, "kind"),
        source=text(name, f"an example of {limit}", row, "source"),
        reading=reading if isinstance(reading, Mapping) else {"value": str(reading)},
        facts={key: str(value) for key, value in row.get("facts", {}).items()},
        expect={key: str(value) for key, value in expect.items()},
    )  # fmt: skip
