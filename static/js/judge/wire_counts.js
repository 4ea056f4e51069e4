// How many broken wires lie in the worst window of a criterion: bounds that can be proven.

import { Fraction, ONE, ZERO, largest, smallest, whole } from "./exact.js";
import { FACT_WORDS, ZONE_WORDS } from "./lists.js";
import { known, unique } from "./rope.js";

const bounds = (low, high, missing = [], notes = []) => ({ low, high, missing, notes, reading: null });

function windowWords([kind, amount]) {
  if (kind === "lay") return amount === 1 ? "in one lay" : `in ${amount} lays`;
  if (kind === "diameters") return `in ${amount} rope diameters`;
  return kind === "whole_rope" ? "anywhere on the rope" : `in ${amount.typed}`;
}

function wantedWords({ window, only = [], without = [], per_strand: perStrand = false, adjacent = false }) {
  const zones = only.map((zone) => ZONE_WORDS[zone]).join(" or ");
  const away = without.map((zone) => ZONE_WORDS[zone]).join(" or ");
  const grouped = adjacent ? "side by side in one strand" : perStrand && "in one strand";
  const parts = ["broken wires", zones, away && `not ${away}`, grouped, windowWords(window)];
  return parts.filter(Boolean).join(" ");
}

const worstPlace = (wanted) => [`the number of ${wantedWords(wanted)}, at the worst place`];

export function countBounds(rope, seen, wanted) {
  const sources = seen.counts.map((count) => fromCount(rope, seen, count, wanted));
  if (seen.broken_wires.length) sources.push(fromWires(rope, seen.broken_wires, wanted));
  const told = sources.filter((source) => source !== null);
  if (!told.length) return bounds(ZERO, null, worstPlace(wanted));
  const found = combine(told);
  const exact = found.high !== null && found.low.compare(found.high) === 0;
  if (exact) return bounds(found.low, found.high, [], found.notes);
  return bounds(found.low, found.high, found.missing.length ? found.missing : worstPlace(wanted), found.notes);
}

// The narrowest range that several sources allow; where they disagree the higher one counts.
function combine(sources) {
  const low = largest(sources.map((source) => source.low));
  const highs = sources.map((source) => source.high).filter((high) => high !== null);
  let high = highs.length ? smallest(highs) : null;
  const missing = unique(sources.flatMap((source) => source.missing));
  const notes = unique(sources.flatMap((source) => source.notes));
  if (high !== null && high.compare(low) < 0) {
    high = largest([...highs, low]);
    notes.push("The count and the listed wires disagree; the higher was used.");
  }
  return bounds(low, high, missing, notes);
}

export function lengthOf([kind, amount], rope) {
  if (kind === "length") return amount.si;
  const unit = { lay: rope.lay_length, diameters: rope.nominal_diameter }[kind];
  return unit && amount ? whole(amount).times(unit.si) : null;
}

// The counted window over the wanted one, or null where a fact of the rope is missing.
function ratioOf(counted, wanted, rope) {
  if (counted[0] === wanted[0] && ["lay", "diameters"].includes(counted[0])) {
    return new Fraction(BigInt(counted[1]), BigInt(wanted[1]));
  }
  const lengths = [lengthOf(counted, rope), lengthOf(wanted, rope)];
  return lengths.includes(null) ? null : lengths[0].over(lengths[1]);
}

export function missingLengths(rope, ...windows) {
  const facts = { lay: "lay_length", diameters: "nominal_diameter" };
  const kinds = windows.map(([kind]) => kind);
  return Object.entries(facts)
    .filter(([kind, fact]) => kinds.includes(kind) && !rope[fact])
    .map(([, fact]) => FACT_WORDS[fact]);
}

function moved(number, counted, wanted, rope) {
  const same = whole(number);
  const some = whole(Math.min(1, number));
  const everywhere = [counted[0] === "whole_rope", wanted[0] === "whole_rope"];
  if (number === 0 || (everywhere[0] && everywhere[1])) return bounds(same, same);
  if (everywhere[0]) return bounds(some, same, worstPlace({ window: wanted }));
  if (everywhere[1]) return bounds(same, null, worstPlace({ window: wanted }));
  const ratio = ratioOf(counted, wanted, rope);
  if (ratio === null) return bounds(some, null, missingLengths(rope, counted, wanted));
  if (ratio.compare(ONE) <= 0) return bounds(same, new Fraction(BigInt(number) * ONE.over(ratio).ceiling()));
  return bounds(new Fraction(new Fraction(BigInt(number), ratio.ceiling()).ceiling()), same);
}

function fromCount(rope, seen, count, wanted) {
  const { only, without } = wanted;
  let total = moved(count.number, count.window, wanted.window, rope);
  if (wanted.adjacent) total = sideBySide(rope, count, wanted, total);
  else if (wanted.per_strand) total = oneStrand(rope, count, wanted, total);
  if (!count.zone) return only.length || without.length ? partOfAll(rope, seen, wanted, total) : total;
  if (without.includes(count.zone) || (only.length && !only.includes(count.zone))) return null;
  if (only.length === 1 && only[0] === count.zone) return total;
  return bounds(total.low, null, [`the number of ${wantedWords(wanted)}, of every zone`]);
}

function oneStrand(rope, count, wanted, total) {
  if (count.number === 0) return total;
  if (count.in_one_strand) return moved(count.in_one_strand, count.window, wanted.window, rope);
  return bounds(ONE, total.high, [`the most broken wires in one strand ${windowWords(wanted.window)}`]);
}

// The most side by side: as counted in a window neither shorter nor longer than the wanted one,
// else between one and all of one strand.
function sideBySide(rope, count, wanted, total) {
  const strand = oneStrand(rope, count, wanted, total);
  if (count.number === 0 || !known(count.adjacent)) {
    const low = smallest([ONE, total.low]);
    const exact = strand.high !== null && low.compare(strand.high) === 0;
    return bounds(low, strand.high, exact ? [] : worstPlace(wanted));
  }
  const number = whole(count.adjacent);
  const ratio = windowRatio(rope, count, wanted);
  const gap = ratio?.compare(ONE);
  if (gap === 0) return bounds(number, number);
  if (gap < 0) return bounds(number, strand.high, worstPlace(wanted));
  return bounds(ONE, ratio ? number : strand.high, worstPlace(wanted));
}

function windowRatio(rope, count, wanted) {
  const everywhere = [count.window, wanted.window].map(([kind]) => kind === "whole_rope");
  if (!everywhere.includes(true)) return ratioOf(count.window, wanted.window, rope);
  return everywhere[0] === everywhere[1] ? ONE : everywhere[0] ? whole(2) : new Fraction(1n, 2n);
}

// Wires of all zones were counted, some zones are wanted.
function partOfAll(rope, seen, wanted, total) {
  let low = ZERO;
  if (wanted.without.length && !wanted.only.length && !wanted.per_strand && !wanted.adjacent) {
    const away = wanted.without.map((zone) => zoneHigh(rope, seen, wanted.window, zone));
    if (!away.includes(null)) low = largest([low, away.reduce((left, high) => left.minus(high), total.low)]);
  }
  const zones = (wanted.only.length ? wanted.only : wanted.without).map((zone) => ZONE_WORDS[zone]);
  return bounds(low, total.high, [`how many of the broken wires are ${zones.join(" or ")}`]);
}

function zoneHigh(rope, seen, window, zone) {
  const counts = seen.counts.filter((count) => count.zone === zone);
  const highs = counts.map((count) => moved(count.number, count.window, window, rope).high);
  const told = highs.filter((high) => high !== null);
  return told.length ? smallest(told) : null;
}

// Slide the window over the listed wires; a wire of unknown zone or strand may count.
function fromWires(rope, wires, wanted) {
  const { only, without } = wanted;
  const mayCount = ({ zone }) => !zone || (!without.includes(zone) && (!only.length || only.includes(zone)));
  const possible = wires.filter(mayCount);
  const certain = possible.filter((wire) => wire.zone || !(only.length || without.length));
  const length = lengthOf(wanted.window, rope);
  const unknown = length === null && wanted.window[0] !== "whole_rope";
  if (wanted.adjacent) return adjacentOf(certain, possible, unknown ? ZERO : length, length);
  const low = densest(certain, unknown ? ZERO : length, wanted.per_strand, true);
  const high = densest(possible, length, wanted.per_strand, false);
  const missing = unknown ? missingLengths(rope, wanted.window) : [];
  if (certain.length < possible.length) missing.push("the zone of every broken wire listed");
  if (wanted.per_strand && possible.some((wire) => !wire.strand)) missing.push("the strand of every broken wire listed");
  return bounds(whole(low), whole(high), missing);
}

function adjacentOf(certain, possible, least, most) {
  const low = mostAdjacent(certain, least);
  const numbered = possible.every((wire) => known(wire.strand) && known(wire.wire));
  const high = numbered ? mostAdjacent(possible, most) : densest(possible, most, true, false);
  const missing = low === high ? [] : ["which of the broken wires listed lie side by side in one strand"];
  return bounds(whole(low), whole(high), missing);
}

function mostAdjacent(wires, length) {
  const placed = wires.filter((wire) => known(wire.strand) && known(wire.wire));
  const near = (start) => (wire) => {
    const gap = wire.position.si.minus(start.position.si);
    return wire.strand === start.strand && (length === null || (gap.top >= 0n && gap.compare(length) <= 0));
  };
  const runs = placed.map((start) => longestRun(placed.filter(near(start)).map((wire) => wire.wire)));
  return Math.max(Math.min(1, wires.length), ...runs);
}

function longestRun(numbers) {
  const present = new Set(numbers);
  let most = 0;
  for (const first of present) {
    let last = first;
    while (present.has(last + 1)) last += 1;
    most = Math.max(most, last - first + 1);
  }
  return most;
}

function densest(wires, length, perStrand, certainly) {
  const places = (chosen) => chosen.map((wire) => wire.position.si);
  if (!perStrand) return mostInWindow(places(wires), length);
  const strands = unique(wires.map((wire) => wire.strand).filter(Boolean));
  if (!strands.length) return certainly ? Math.min(1, wires.length) : mostInWindow(places(wires), length);
  const inStrand = (strand) => wires.filter((wire) => wire.strand === strand || (!certainly && !wire.strand));
  return Math.max(...strands.map((strand) => mostInWindow(places(inStrand(strand)), length)));
}

function mostInWindow(positions, length) {
  if (length === null) return positions.length;
  const ordered = positions.toSorted((one, other) => one.compare(other));
  let [first, most] = [0, 0];
  ordered.forEach((position, last) => {
    while (position.minus(ordered[first]).compare(length) > 0) first += 1;
    most = Math.max(most, last - first + 1);
  });
  return most;
}
