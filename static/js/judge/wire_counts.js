// How many broken wires lie in the worst window of a criterion: bounds that can be proven.

import { Fraction, ONE, ZERO, largest, smallest, whole } from "./exact.js";
import { FACT_WORDS, ZONE_WORDS } from "./lists.js";

const unique = (words) => [...new Set(words)];
const bounds = (low, high, missing = [], notes = []) => ({ low, high, missing, notes, reading: null });

function windowWords([kind, amount]) {
  if (kind === "lay") return amount === 1 ? "in one lay" : `in ${amount} lays`;
  if (kind === "diameters") return `in ${amount} rope diameters`;
  return kind === "whole_rope" ? "anywhere on the rope" : `in ${amount.typed}`;
}

function wantedWords({ window, only = [], without = [], per_strand: perStrand = false }) {
  const zones = only.map((zone) => ZONE_WORDS[zone]).join(" or ");
  const away = without.map((zone) => ZONE_WORDS[zone]).join(" or ");
  const parts = ["broken wires", zones, away && `not ${away}`, perStrand && "in one strand", windowWords(window)];
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

function lengthOf([kind, amount], rope) {
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

function missingLengths(rope, ...windows) {
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
  if (wanted.per_strand) total = oneStrand(rope, count, wanted, total);
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

// Wires of all zones were counted, some zones are wanted.
function partOfAll(rope, seen, wanted, total) {
  let low = ZERO;
  if (wanted.without.length && !wanted.per_strand) {
    const away = wanted.without.map((zone) => zoneHigh(rope, seen, wanted.window, zone));
    if (!away.includes(null)) low = largest([low, away.reduce((left, high) => left.minus(high), total.low)]);
  }
  const zones = (wanted.only.length ? wanted.only : wanted.without).map((zone) => ZONE_WORDS[zone]);
  return bounds(low, total.high, [`how many of the broken wires are ${zones.join(" or ")}`]);
}

function zoneHigh(rope, seen, window, zone) {
  const counts = seen.counts.filter((count) => count.zone === zone);
  const highs = counts.map((count) => moved(count.number, count.window, window, rope).high);
  const known = highs.filter((high) => high !== null);
  return known.length ? smallest(known) : null;
}

// Slide the window over the listed wires; a wire of unknown zone or strand may count.
function fromWires(rope, wires, wanted) {
  const { only, without } = wanted;
  const mayCount = ({ zone }) => !zone || (!without.includes(zone) && (!only.length || only.includes(zone)));
  const possible = wires.filter(mayCount);
  const certain = possible.filter((wire) => wire.zone || !(only.length || without.length));
  const length = lengthOf(wanted.window, rope);
  const unknown = length === null && wanted.window[0] !== "whole_rope";
  const low = densest(certain, unknown ? ZERO : length, wanted.per_strand, true);
  const high = densest(possible, length, wanted.per_strand, false);
  const missing = unknown ? missingLengths(rope, wanted.window) : [];
  if (certain.length < possible.length) missing.push("the zone of every broken wire listed");
  if (wanted.per_strand && possible.some((wire) => !wire.strand)) missing.push("the strand of every broken wire listed");
  return bounds(whole(low), whole(high), missing);
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
