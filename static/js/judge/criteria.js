// One criterion of a rule set, applied to one rope and what was seen on it.

import { Fraction, ONE, ZERO, exactText, largest, smallest, whole } from "./exact.js";
import { CONDITIONS, FACT_WORDS, LOSS_WORDS } from "./lists.js";
import { inUnit, placesOf, shown, withUnit } from "./quantities.js";
import { wasSeen } from "./rope.js";
import { countBounds } from "./wire_counts.js";

export const unique = (words) => [...new Set(words)];
const NEAR = new Fraction(8n, 10n);
const range = (low, high, missing = [], notes = [], reading = null) => ({ low, high, missing, notes, reading });
const known = (fact) => fact !== null && fact !== undefined;

export function applies({ when }, rope) {
  const facts = Object.entries(when ?? {}).map(([fact, allowed]) => [rope[fact], allowed]);
  if (facts.some(([fact, allowed]) => known(fact) && !allowed.includes(fact))) return false;
  return facts.every(([fact]) => known(fact)) ? true : null;
}

export function applyCriterion(criterion, rope, seen) {
  const applying = applies(criterion, rope);
  if (applying === false) return result(criterion, "does not apply", "keep", { limit: limitWords(criterion) });
  if (criterion.off) {
    return result(criterion, "switched off", "cannot be decided", { limit: limitWords(criterion), missing: [criterion.off] });
  }
  if (criterion.only_if_measured && !seen[criterion.indicator]) {
    return result(criterion, "does not apply", "keep", { limit: limitWords(criterion) });
  }
  const found = criterion.limit ? measured(criterion, rope, seen) : looked(criterion, seen);
  if (applying || found.verdict === "not met") return found;
  const facts = Object.keys(criterion.when ?? {}).filter((fact) => !known(rope[fact]));
  const missing = unique([...facts.map((fact) => FACT_WORDS[fact]), ...found.missing]);
  return { ...found, verdict: "cannot be decided", outcome: "cannot be decided", missing };
}

const limitWords = ({ limit }) => (limit ? limit.text : "not present");

function result(criterion, verdict, outcome, figures) {
  const { slug, words, clause, verified, action, note, comparator } = criterion;
  return {
    slug, words, clause, verdict, outcome, value: "", limit: "", comparator, margin: "", missing: [],
    verified, action, note, near: false, closeness: ZERO, ...figures,
  };
}

export function stateOf({ verdict, outcome, near }) {
  if (verdict === "met") return outcome;
  if (verdict === "does not apply") return verdict;
  if (verdict !== "not met") return "cannot be decided";
  return near ? "watch" : "fit";
}

function looked(criterion, seen) {
  const said = criterion.conditions.map((name) => wasSeen(seen, name));
  if (said.includes(true)) return result(criterion, "met", criterion.outcome, { value: "present", limit: "not present" });
  if (said.includes(null)) {
    const words = criterion.conditions.map((name) => CONDITIONS[name]).join(" or ");
    const missing = [`whether there is ${words}`];
    return result(criterion, "cannot be decided", "cannot be decided", { limit: "not present", missing });
  }
  return result(criterion, "not met", "keep", { value: "not present", limit: "not present" });
}

function measured(criterion, rope, seen) {
  const rule = criterion.limit;
  const limit = limitFor(rule, rope);
  const found = boundsOf(criterion, rope, seen);
  const verdict = compared(found, criterion.comparator, limit);
  const undecided = verdict === "cannot be decided";
  const value = found.reading ?? found.low;
  const closeness = limit.low?.top ? value.over(limit.low) : null;
  return result(criterion, verdict, verdict === "met" ? criterion.outcome : undecided ? verdict : "keep", {
    value: valueText(found, limit, rule.unit),
    limit: limitFigure(limit, rule.unit) || rule.text,
    margin: marginText(found, limit, rule.unit),
    missing: undecided ? unique([...found.missing, ...limit.missing]) : [],
    near: isNear(criterion, found, closeness),
    note: [criterion.note, ...found.notes].filter(Boolean).join(" "),
    closeness: closeness ?? ZERO,
  });
}

function boundsOf(criterion, rope, seen) {
  if (criterion.wanted) return countBounds(rope, seen, criterion.wanted);
  if (criterion.indicator === "diameter_loss") return diameterLoss(criterion, rope, seen);
  const value = seen[criterion.indicator];
  const missing = [LOSS_WORDS[criterion.indicator]];
  if (value) return range(value.si, value.si);
  const worn = criterion.indicator === "outer_wire_loss" ? wasSeen(seen, "outer_wires_worn") : null;
  if (worn === null) return range(ZERO, null, missing);
  return worn ? range(new Fraction(1n, 3n), null, missing) : range(ZERO, new Fraction(333n, 1000n));
}

function diameterLoss({ reference, limit }, rope, seen) {
  const start = (reference === "nominal" ? rope.nominal_diameter : rope.baseline_diameter)?.si;
  const per = reference === "baseline_over_nominal" ? rope.nominal_diameter?.si : start;
  const means = seen.diameters.map(({ a, b }) => a.si.plus(b.si).over(whole(2)));
  if (!means.length || !start || !per) return range(whole(-1_000_000), null, missingDiameters(reference, rope, means));
  const scale = limit.dimension === "length" ? ONE : per;
  const uncertainty = seen.instrument_uncertainty;
  const doubt = (uncertainty?.si ?? ZERO).over(scale);
  const loss = start.minus(smallest(means)).over(scale);
  const finer = `a finer reading: the limit lies within the instrument's uncertainty of ${uncertainty?.typed}`;
  const notes = uncertainty ? [] : ["No instrument uncertainty stated: as read."];
  return range(loss.minus(doubt), loss.plus(doubt), doubt.top ? [finer] : [], notes, loss);
}

function missingDiameters(reference, rope, means) {
  const readings = means.length ? [] : ["the rope's diameter at its worst place, read twice at right angles"];
  const needed = { nominal: ["nominal_diameter"], baseline: ["baseline_diameter"], baseline_over_nominal: ["baseline_diameter", "nominal_diameter"] };
  return [...readings, ...needed[reference].filter((fact) => !rope[fact]).map((fact) => FACT_WORDS[fact])];
}

function limitFor(rule, rope) {
  let found;
  if (rule.number !== null) found = { low: Fraction.from(rule.number), high: Fraction.from(rule.number), missing: [] };
  else if (rule.percent !== null) found = partOfWires(rule, rope);
  else found = cell(rule.table, rope, rule.column);
  const times = rule.times_when && Object.keys(rule.times_when).length > 0;
  const apply = times && Object.entries(rule.times_when).every(([fact, allowed]) => allowed.includes(rope[fact]));
  const factor = apply ? Fraction.from(rule.times) : ONE;
  if (found.low === null) return found;
  return { low: found.low.times(factor), high: found.high.times(factor), missing: found.missing };
}

const notKnown = (...missing) => ({ low: null, high: null, missing });

function partOfWires({ of, percent }, rope) {
  if (!known(rope[of])) return notKnown(FACT_WORDS[of]);
  const part = whole(rope[of]).times(Fraction.from(percent)).over(whole(100));
  return { low: part, high: part, missing: [] };
}

// The printed row for a rope; never extended beyond the table.
function cell({ key: fact, rows }, rope, column) {
  if (!known(rope[fact])) return notKnown(FACT_WORDS[fact]);
  const key = rope[fact].si ?? whole(rope[fact]);
  const holds = ({ first, last }) =>
    (first === null || Fraction.from(first).compare(key) <= 0) && key.compare(Fraction.from(last)) <= 0;
  const row = rows.find(holds);
  if (!row) return notKnown(`a limit for ${rope[fact].typed ?? rope[fact]}: the printed table has no row for it`);
  const figures = row.cells[column].map((figure) => Fraction.from(figure));
  return { low: smallest(figures), high: largest(figures), missing: eitherFigure(figures) };
}

function eitherFigure(figures) {
  if (figures.every((figure) => figure.compare(figures[0]) === 0)) return [];
  const either = figures.toSorted((one, other) => one.compare(other)).map(exactText).join(" or ");
  return [`whether the standard prints ${either}: two documents quote it differently`];
}

function compared({ low, high }, comparator, limit) {
  if (limit.low === null) return high !== null && high.top <= 0n ? "not met" : "cannot be decided";
  const strict = comparator === ">";
  const beyond = low.compare(limit.high);
  if (beyond > 0 || (!strict && beyond === 0)) return "met";
  if (high === null) return "cannot be decided";
  const below = high.compare(limit.low);
  return below < 0 || (strict && below === 0) ? "not met" : "cannot be decided";
}

function isNear(criterion, { low, high }, closeness) {
  if (criterion.wanted) return low.top > 0n || high === null || high.top > 0n;
  return closeness !== null && closeness.compare(NEAR) >= 0;
}

const isExact = ({ low, high }) => high !== null && low.compare(high) === 0;

function valueText(found, limit, unit) {
  const beside = limit.low && inUnit(limit.low, unit);
  const figure = (value) => shown(inUnit(value, unit), beside, placesOf(unit));
  if (found.reading) return withUnit(figure(found.reading), unit);
  if (isExact(found)) return withUnit(figure(found.low), unit);
  if (found.high === null) return found.low.top > 0n ? withUnit(`at least ${figure(found.low)}`, unit) : "";
  return withUnit(`between ${figure(found.low)} and ${figure(found.high)}`, unit);
}

function limitFigure({ low, high }, unit) {
  if (low === null) return "";
  const [least, most] = [low, high].map((figure) => exactText(inUnit(figure, unit)));
  return withUnit(least === most ? least : `${least} or ${most}`, unit);
}

function marginText(found, limit, unit) {
  if (limit.low === null || !(found.reading || isExact(found))) return "";
  const gap = inUnit(limit.low.minus(found.reading ?? found.low), unit);
  if (!gap.top) return "exactly at the limit";
  return `${withUnit(shown(gap.size(), ZERO, placesOf(unit)), unit)} ${gap.top > 0n ? "below" : "beyond"} the limit`;
}
