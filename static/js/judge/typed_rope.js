// What was typed about one rope, as a raw observation.

import { stripped, Unreadable } from "./numbers.js";
import { readQuantity } from "./quantities.js";

const PAIRS = [1, 2, 3];
const COUNTS = ["broken_lay", "broken_strand_count", "broken_valley", "broken_end"];
const ASKED_CONDITIONS = [
  "broken_strand", "distortion", "core_protrusion", "corrosion", "heat_damage", "power_line_contact",
  "end_connection_damaged", "end_connection_improper", "outer_wires_worn",
];
// biome-ignore lint: these are the characters at which the server begins a new line
const LINES = /\r\n|[\n\r\v\f\x1c-\x1e\x85\u2028\u2029]/;

const field = (typed, name) => stripped(typed[name] ?? "");
const hasFault = ({ faults }, prefix) => Object.keys(faults).some((name) => name.startsWith(prefix));
const isWhole = (text) => /^[0-9]+$/.test(text);

export function readTypedRope(answer, typed, readTyped) {
  const length = (name, mayBeFar) => readTyped(answer, typed, name, "length", typed.unit ?? "", mayBeFar);
  const uncertainty = field(typed, "uncertainty") ? length("uncertainty", false) : null;
  const diameters = PAIRS.map((place) => typedPair(answer, typed, place, length)).filter(Boolean);
  if (!diameters.length && !hasFault(answer, "dia_")) {
    answer.faults.dia_1_a = "Measure the rope twice, at right angles, at its worst place.";
  }
  const counts = readCounts(answer, typed);
  const wires = readWires(answer, typed);
  if (!counts.length && !wires.length && !hasFault(answer, "broken_")) {
    answer.faults.broken_lay = "Count the broken wires in the worst lay. None is 0.";
  }
  const conditions = typedConditions(answer, typed);
  if (Object.keys(answer.faults).length) return;
  answer.given = "value";
  answer.observation = { broken_wires: wires, counts, diameters, conditions, instrument_uncertainty: uncertainty };
  answer.measured = diameters.flatMap(({ a, b }) => [a, b].map((quantity) => ({ quantity, uncertainty })));
}

function typedPair(answer, typed, place, length) {
  const names = [`dia_${place}_a`, `dia_${place}_b`];
  if (!names.some((name) => field(typed, name))) return null;
  const [a, b] = names.map((name) => length(name, true));
  [a, b].forEach((reading, way) => {
    if (reading && reading.si.top <= 0n) answer.faults[names[way]] = "A rope is thicker than nothing: measure it again.";
  });
  if (!a || !b || a.si.top <= 0n || b.si.top <= 0n) return null;
  readPosition(answer, typed, `dia_${place}_at`);
  return { a, b };
}

function readPosition(answer, typed, name) {
  const text = field(typed, name);
  if (text) noting(answer, name, () => readQuantity(text, "length"));
}

function noting(answer, name, read) {
  try {
    return read();
  } catch (fault) {
    if (!(fault instanceof Unreadable)) throw fault;
    answer.faults[name] = fault.message;
    return null;
  }
}

function readCounts(answer, typed) {
  const [lay, strand, valley, end] = COUNTS.map((name) => typedNumber(answer, typed, name));
  if (lay !== null && strand !== null && strand > lay) {
    answer.faults.broken_strand_count = "One strand cannot have more broken wires than the worst lay.";
    return [];
  }
  const count = (number, zone, strands = null) => ({ number, window: ["lay", 1], in_one_strand: strands, zone });
  return [
    lay !== null && count(lay, null, lay === 0 ? 0 : strand),
    valley !== null && count(valley, "valley"),
    end !== null && count(end, "termination"),
  ].filter(Boolean);
}

function typedNumber(answer, typed, name) {
  const text = field(typed, name);
  if (!text) return null;
  if (isWhole(text) && text.length <= 4) return Number(text);
  answer.faults[name] = "Type a whole number; none is 0. Leave it empty if you did not count.";
  return null;
}

function readWires(answer, typed) {
  const lines = (typed.wires ?? "").split(LINES).filter((line) => stripped(line));
  const wires = [];
  for (const line of lines) {
    const wire = typedWire(answer, stripped(line));
    if (!wire) return [];
    wires.push(wire);
  }
  return wires;
}

// One line: place along the rope; strand number; crown, valley or termination.
function typedWire(answer, line) {
  const [place, strand = "", zone = ""] = line.split(";").map(stripped);
  const refuse = (why) => {
    answer.faults.wires = `“${line}”: ${why}`;
    return null;
  };
  let position;
  try {
    position = readQuantity(place, "length");
  } catch (fault) {
    if (!(fault instanceof Unreadable)) throw fault;
    return refuse(`${fault.message} Write one wire a line: 12.5 m; 3; crown`);
  }
  if (strand && (!isWhole(strand) || Number(strand) === 0)) return refuse("the strand is a whole number, from 1.");
  if (!["", "crown", "valley", "termination"].includes(zone)) return refuse("the zone is crown, valley or termination.");
  return { position, strand: strand ? Number(strand) : null, zone: zone || null };
}

// A box not ticked means "looked for and not seen" only if the person says they looked.
function typedConditions(answer, typed) {
  const looked = typed.looked ?? "";
  if (looked !== "yes" && looked !== "no") answer.faults.looked = "Say whether you looked for these along the whole rope.";
  const unseen = looked === "yes" ? false : null;
  return Object.fromEntries(ASKED_CONDITIONS.map((name) => [name, typed[`cond_${name}`] === "seen" ? true : unseen]));
}
