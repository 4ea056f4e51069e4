// One reading against the limit of its check: the same verdict as the server's.

import { Fraction, whole } from "./exact.js";
import { inUnit, placesOf, showExact, shown, withUnit } from "./quantities.js";

const NEAR_LIMIT = new Fraction(5n, 100n);

// reading, minimum, maximum, uncertainty: quantities or null. The answer has the server's names.
export function judgeLimit({ reading, minimum = null, maximum = null, uncertainty = null }) {
  const limits = [[minimum, -1], [maximum, 1]].filter(([limit]) => limit);
  if (!limits.length) return limitTold(reading, null, limitUndecided("a limit to compare with"));
  const others = [...limits.map(([limit]) => limit), ...(uncertainty ? [uncertainty] : [])];
  const strange = others.find((other) => other.dimension !== reading.dimension || other.scale !== reading.scale);
  if (strange) return limitTold(reading, limits[0], limitUndecided(`a reading that can be compared with ${strange.typed}`));
  // A smallest value of zero under a reading that is not below zero bounds nothing.
  if (minimum && maximum && !minimum.si.top && reading.si.top >= 0n) limits.shift();
  const beyond = limits.map(([limit, sign]) => ({ gap: reading.si.minus(limit.si).times(whole(sign)), limit, sign }));
  const worst = beyond.reduce((most, each) => (each.gap.compare(most.gap) > 0 ? each : most));
  const span = minimum && maximum ? maximum.si.minus(minimum.si) : worst.limit.si;
  const near = NEAR_LIMIT.times(span.size());
  return limitTold(reading, [worst.limit, worst.sign], outcome(worst.gap, uncertainty, near), worst.gap);
}

function limitUndecided(missing) {
  return { verdict: "cannot be decided", state: "cannot be decided", outcome: "cannot be decided", missing: [missing] };
}

function outcome(beyond, uncertainty, near) {
  const doubt = uncertainty ? uncertainty.si.size() : whole(0);
  if (doubt.top && beyond.size().compare(doubt) <= 0) {
    return limitUndecided(`a finer reading: the limit lies within the instrument's uncertainty of ${uncertainty.typed}`);
  }
  if (beyond.top > 0n) return { verdict: "met", state: "out of service", outcome: "out of service", missing: [] };
  // Nothing is better than none: a limit of zero is never near.
  const close = near.top > 0n && beyond.negative().compare(near) <= 0;
  return { verdict: "not met", state: close ? "watch" : "fit", outcome: close ? "watch" : "keep", missing: [] };
}

function limitTold(reading, against, found, beyond = null) {
  const [limit, sign] = against ?? [null, 0];
  const comparator = sign < 0 ? "<" : sign > 0 ? ">" : "";
  const figured = beyond !== null && limit;
  return {
    ...found,
    words: `the reading is ${comparator || "beyond"} the limit`,
    comparator,
    limit: limit ? `${sign < 0 ? "at least" : "at most"} ${showExact(limit.si, limit.unit)}` : "",
    value: figured ? beside(reading, limit) : reading.typed,
    margin: figured ? margin(beyond, limit) : "",
  };
}

function beside(reading, limit) {
  const typed = showExact(reading.si, reading.unit);
  if (reading.unit === limit.unit) return typed;
  const there = shown(inUnit(reading.si, limit.unit), inUnit(limit.si, limit.unit), placesOf(limit.unit));
  return `${typed} (${withUnit(there, limit.unit)})`;
}

function margin(beyond, limit) {
  if (!beyond.top) return "exactly at the limit";
  const gap = shown(inUnit(beyond, limit.unit).size(), whole(0), placesOf(limit.unit));
  return `${withUnit(gap, limit.unit)} ${beyond.top > 0n ? "beyond" : "inside"} the limit`;
}
