// One criterion of a rule set, applied to one rope and what was seen on it.

import { Fraction, ONE, ZERO, exactText, smallest, whole } from "./exact.js";
import { factsAllow, limitFor, lossBounds } from "./limits_of_rules.js";
import { CONDITIONS, FACT_WORDS } from "./lists.js";
import { inUnit, placesOf, shown, withUnit } from "./quantities.js";
import { known, unique, wasSeen } from "./rope.js";
import { graded, percentText, severityText } from "./severities.js";
import { countBounds } from "./wire_counts.js";

const NEAR = new Fraction(8n, 10n);
const range = (low, high, missing = [], notes = [], reading = null) => ({ low, high, missing, notes, reading });

export const applies = ({ when }, rope) => factsAllow(rope, when ?? {});

export function applyCriterion(criterion, rope, seen) {
  const applying = applies(criterion, rope);
  if (applying === false) return notApplying(criterion);
  if (criterion.off) return switchedOff(criterion);
  if (criterion.only_if_measured && !seen[criterion.indicator]) return notApplying(criterion);
  const found = criterion.limit ? measured(criterion, rope, seen) : looked(criterion, seen);
  if (applying || found.verdict === "not met") return found;
  return undecided(found, unknownFacts(criterion, rope));
}

export const unknownFacts = ({ when }, rope) =>
  Object.keys(when ?? {}).filter((fact) => !known(rope[fact])).map((fact) => FACT_WORDS[fact]);

export function undecided(found, facts) {
  const missing = unique([...facts, ...found.missing]);
  return { ...found, verdict: "cannot be decided", outcome: "cannot be decided", missing, asks: "" };
}

export const notApplying = (criterion) => result(criterion, "does not apply", "keep", { limit: limitWords(criterion) });

export const switchedOff = (criterion) =>
  result(criterion, "switched off", "cannot be decided", { limit: limitWords(criterion), missing: [criterion.off] });

const limitWords = ({ limit }) => (limit ? limit.text : "not present");

function result(criterion, verdict, outcome, figures) {
  const { slug, words, clause, verified, action, note, comparator } = criterion;
  return {
    slug, words, clause, verdict, outcome, value: "", limit: "", comparator, margin: "", missing: [],
    verified, action, note, near: false, closeness: ZERO,
    asks: "", severity: "", ...figures,
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
  if (said.includes(true)) {
    const severity = known(criterion.severity) ? percentText(Fraction.from(criterion.severity)) : "";
    const figures = { value: "present", limit: "not present", severity, asks: criterion.asks };
    return result(criterion, "met", criterion.outcome, figures);
  }
  if (said.includes(null)) {
    const words = criterion.conditions.map((name) => CONDITIONS[name]).join(" or ");
    const missing = [`whether there is ${words}`];
    return result(criterion, "cannot be decided", "cannot be decided", { limit: "not present", missing });
  }
  return result(criterion, "not met", "keep", { value: "not present", limit: "not present" });
}

function measured(criterion, rope, seen) {
  return finished(criterion, valueBounds(criterion, rope, seen), limitFor(criterion.limit, rope, seen));
}

// The result of comparing a value with its limit, with its figures for the eye.
export function finished(criterion, found, limit) {
  const rule = criterion.limit;
  const verdict = compared(found, criterion.comparator, limit);
  const open = verdict === "cannot be decided";
  const closeness = closenessOf(criterion, found, limit);
  const severity = rule.bands.length ? graded(rule, found, limit) : null;
  return result(criterion, verdict, verdict === "met" ? criterion.outcome : open ? verdict : "keep", {
    value: valueText(found, limit, rule.unit),
    limit: limitFigure(limit, rule.unit) || rule.text,
    margin: marginText(found, limit, rule.unit, criterion.comparator),
    missing: open ? unique([...found.missing, ...limit.missing]) : [],
    near: isNear(criterion, found, closeness) || (severity?.low.top ?? 0n) > 0n,
    note: [criterion.note, ...found.notes].filter(Boolean).join(" "),
    closeness: closeness ?? ZERO,
    severity: severity ? severityText(severity) : "",
    asks: verdict === "met" ? criterion.asks : "",
  });
}

function closenessOf({ comparator }, found, limit) {
  const value = found.reading ?? found.low;
  if (!limit.low?.top) return null;
  if (comparator.startsWith("<")) return value.top > 0n ? limit.low.over(value) : null;
  return value.over(limit.low);
}

export function valueBounds(criterion, rope, seen) {
  if (criterion.wanted) return countBounds(rope, seen, criterion.wanted);
  if (criterion.indicator === "diameter_loss") return diameterLoss(criterion, rope, seen);
  if (criterion.indicator === "design_factor") return designFactor(rope);
  return lossBounds(criterion.indicator, seen);
}

function designFactor(rope) {
  const needed = ["minimum_breaking_force", "greatest_force"];
  const missing = needed.filter((fact) => !known(rope[fact])).map((fact) => FACT_WORDS[fact]);
  if (missing.length) return range(ZERO, null, missing);
  const factor = rope.minimum_breaking_force.si.over(rope.greatest_force.si);
  return range(factor, factor);
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

function compared({ low, high }, comparator, limit) {
  if (comparator.startsWith("<")) return comparedBelow({ low, high }, comparator === "<", limit);
  if (limit.low === null) return high !== null && high.top <= 0n ? "not met" : "cannot be decided";
  const strict = comparator === ">";
  const beyond = low.compare(limit.high);
  if (beyond > 0 || (!strict && beyond === 0)) return "met";
  if (high === null) return "cannot be decided";
  const below = high.compare(limit.low);
  return below < 0 || (strict && below === 0) ? "not met" : "cannot be decided";
}

function comparedBelow({ low, high }, strict, limit) {
  if (limit.low === null) return "cannot be decided";
  const above = high?.compare(limit.low);
  if (above < 0 || (!strict && above === 0)) return "met";
  const beyond = low.compare(limit.high);
  return beyond > 0 || (strict && beyond === 0) ? "not met" : "cannot be decided";
}

function isNear(criterion, { low, high }, closeness) {
  if (criterion.indicator === "design_factor") return false;
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

function marginText(found, limit, unit, comparator) {
  if (limit.low === null || !(found.reading || isExact(found))) return "";
  const gap = inUnit(limit.low.minus(found.reading ?? found.low), unit);
  if (!gap.top) return "exactly at the limit";
  const [under, over] = comparator.startsWith("<") ? ["short of", "above"] : ["below", "beyond"];
  return `${withUnit(shown(gap.size(), ZERO, placesOf(unit)), unit)} ${gap.top > 0n ? under : over} the limit`;
}
