// How far one criterion is towards discard, in parts of it: bounds that can be proven.

import { Fraction, ONE, ZERO, largest, whole } from "./exact.js";
import { stepAt } from "./limits_of_rules.js";
import { shown } from "./quantities.js";
import { unique } from "./rope.js";

const HUNDRED = whole(100);
export const severity = (low, high, missing = []) => ({ low, high, missing });

export const percentText = (part) => `${shown(part.times(HUNDRED), HUNDRED, 2)} %`;

export function severityText({ low, high }) {
  if (high === null) return low.top ? `at least ${percentText(low)}` : "";
  if (low.compare(high) === 0) return percentText(low);
  return `between ${percentText(low)} and ${percentText(high)}`;
}

// By the rule's bands, else the value in parts of the limit.
export function graded(rule, found, limit) {
  const missing = unique([...found.missing, ...limit.missing]);
  if (rule.bands.length) {
    return severity(stepAt(rule.bands, found.low, ZERO), found.high && stepAt(rule.bands, found.high, ZERO), missing);
  }
  const low = limit.high?.top ? largest([found.low, ZERO]).over(limit.high) : ZERO;
  if (found.high !== null && found.high.top <= 0n) return severity(ZERO, ZERO);
  if (found.high === null || !limit.low?.top) return severity(low, null, missing);
  return severity(low, found.high.over(limit.low), missing);
}

// The larger of several severities of the same kind of damage.
export function worstOfOneKind(severities) {
  const low = largest([ZERO, ...severities.map((each) => each.low)]);
  const missing = unique(severities.flatMap((each) => each.missing));
  if (severities.some(({ high }) => high === null)) return severity(low, null, missing);
  return severity(low, largest([ZERO, ...severities.map((each) => each.high)]), missing);
}

export const discardOf = ({ severity: part }) => (part === null || part === undefined ? ONE : Fraction.from(part));
