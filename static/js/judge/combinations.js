// The sum of the severities of different kinds of damage within one stretch of the rope.

import { applies, finished, notApplying, switchedOff, undecided, unknownFacts, valueBounds } from "./criteria.js";
import { ZERO, largest } from "./exact.js";
import { limitFor } from "./limits_of_rules.js";
import { CONDITIONS } from "./lists.js";
import { unique, wasSeen } from "./rope.js";
import { discardOf, graded, severity, worstOfOneKind } from "./severities.js";
import { lengthOf, missingLengths } from "./wire_counts.js";

export function applyCombination(criterion, rope, seen, all) {
  const applying = applies(criterion, rope);
  if (applying === false) return notApplying(criterion);
  if (criterion.off) return switchedOff(criterion);
  const members = all.filter(({ slug }) => criterion.combines.includes(slug));
  const found = finished(criterion, combinedBounds(criterion, rope, seen, members), limitFor(criterion.limit, rope, seen));
  return applying || found.verdict === "not met" ? found : undecided(found, unknownFacts(criterion, rope));
}

function combinedBounds({ stretch }, rope, seen, members) {
  const range = (low, high, missing) => ({ low, high, missing, notes: [], reading: null });
  const kinds = kindsOf(members, rope).map((kind) => ({ ...kind, whole: severityOfKind(kind, rope, seen) }));
  const alone = largest([ZERO, ...kinds.map(({ whole }) => whole.low)]);
  let missing = unique(kinds.flatMap(({ whole }) => whole.missing));
  if (kinds.some(({ whole }) => whole.high === null)) return range(alone, null, missing);
  const length = lengthOf(stretch, rope);
  const nowhere = length === null && stretch[0] !== "whole_rope";
  if (nowhere) missing = [...missing, ...missingLengths(rope, stretch)];
  const placed = nowhere ? [] : kinds.filter((kind) => isPlaced(kind, seen));
  const sums = overWindows(kinds, placed, rope, seen, length);
  const low = largest([sums.low, alone]);
  if (low.compare(sums.high) === 0) return range(low, sums.high, []);
  const together = ["whether the worst places of the different faults lie together"];
  return range(low, sums.high, missing.length ? missing : together);
}

function kindsOf(members, rope) {
  const applying = members.filter((each) => applies(each, rope) !== false);
  return unique(applying.map(({ indicator }) => indicator)).map((indicator) => ({
    indicator,
    criteria: applying.filter((each) => each.indicator === indicator),
  }));
}

const severityOfKind = ({ criteria }, rope, seen) => worstOfOneKind(criteria.map((each) => severityOf(each, rope, seen)));

function severityOf(criterion, rope, seen) {
  if (criterion.off) return severity(ZERO, null, [criterion.off]);
  const found = criterion.conditions.length ? ofCondition(criterion, seen) : gradedByLimit(criterion, rope, seen);
  if (applies(criterion, rope) !== null) return found;
  return severity(ZERO, found.high, [...unknownFacts(criterion, rope), ...found.missing]);
}

const gradedByLimit = (criterion, rope, seen) =>
  graded(criterion.limit, valueBounds(criterion, rope, seen), limitFor(criterion.limit, rope, seen));

function ofCondition(criterion, seen) {
  const most = discardOf(criterion);
  const said = criterion.conditions.map((name) => wasSeen(seen, name));
  if (said.includes(true)) return severity(most, most);
  if (!said.includes(null)) return severity(ZERO, ZERO);
  return severity(ZERO, most, [`whether there is ${criterion.conditions.map((name) => CONDITIONS[name]).join(" or ")}`]);
}

// Whether everything seen of a kind has a position along the rope.
function isPlaced({ indicator }, seen) {
  if (indicator === "broken_wires") return seen.broken_wires.length > 0 && !seen.counts.length;
  return indicator === "diameter_loss" && seen.diameters.length > 0 && seen.diameters.every(({ position }) => position);
}

const sum = (parts) => parts.reduce((total, each) => total.plus(each), ZERO);

function overWindows(kinds, placed, rope, seen, length) {
  const loose = sum(kinds.filter((kind) => !placed.includes(kind)).map(({ whole }) => whole.high));
  let [low, high] = [ZERO, ZERO];
  for (const part of partsOf(placed, seen, length)) {
    const found = placed.map((kind) => severityWithin(kind, rope, part));
    low = largest([low, sum(found.map((each) => each.low))]);
    high = largest([high, sum(found.map((each) => each.high ?? ZERO))]);
  }
  return { low, high: high.plus(loose) };
}

function severityWithin(kind, rope, part) {
  const listed = kind.indicator === "broken_wires";
  const there = listed ? part.broken_wires : part.diameters;
  if (there.length) return severityOfKind(kind, rope, part);
  // Every broken wire is listed; a diameter not measured there may be as bad as the worst.
  return severity(ZERO, listed ? ZERO : kind.whole.high);
}

// What lies in each window that starts at something seen with its place.
function partsOf(placed, seen, length) {
  const names = placed.map(({ indicator }) => indicator);
  const wires = names.includes("broken_wires") ? seen.broken_wires : [];
  const pairs = names.includes("diameter_loss") ? seen.diameters : [];
  return [...wires, ...pairs].map(({ position: start }) => {
    const within = ({ position }) => {
      const gap = position.si.minus(start.si);
      return length === null || (gap.top >= 0n && gap.compare(length) <= 0);
    };
    return { ...seen, broken_wires: wires.filter(within), diameters: pairs.filter(within) };
  });
}
