// A rope's facts and what was seen on it, from the JSON that docs/judge.md describes.

import { CHOICES, CONDITIONS, KINDS_OF_DISTORTION, OTHER_NAMES } from "./lists.js";
import { quantityFrom } from "./quantities.js";

const FACTS = { nominal_diameter: "length", lay_length: "length", minimum_breaking_force: "force", baseline_diameter: "length" };
const LOOSE = { instrument_uncertainty: "length", outer_wire_loss: "ratio", strength_loss: "ratio" };

export function readRope(said) {
  const rope = { ...said };
  for (const [name, dimension] of Object.entries(FACTS)) rope[name] = quantityFrom(said[name], dimension);
  for (const [name, choices] of Object.entries(CHOICES)) rope[name] = choice(name, said[name], choices);
  return rope;
}

function choice(name, value, choices) {
  if (value === null || value === undefined || value === "" || value === "not_known") return null;
  const folded = String(value).toLowerCase();
  if (!choices.includes(folded)) throw new RangeError(`${name}: “${value}” is not one of ${choices.join(", ")}.`);
  return folded;
}

export function readObservation(said) {
  const seen = {
    broken_wires: (said.broken_wires ?? []).map(readWire),
    counts: (said.counts ?? []).map((count) => ({ ...count, window: readWindow(count.window) })),
    diameters: (said.diameters ?? []).map(readPair),
    conditions: readConditions(said.conditions ?? {}),
  };
  for (const [name, dimension] of Object.entries(LOOSE)) seen[name] = quantityFrom(said[name], dimension);
  return seen;
}

const readWire = (wire) => ({ ...wire, position: quantityFrom(wire.position, "length") });
const readPair = ({ a, b }) => ({ a: quantityFrom(a, "length"), b: quantityFrom(b, "length") });

export function readWindow([kind, amount = null]) {
  return [kind, kind === "length" ? quantityFrom(amount, "length") : amount];
}

function readConditions(said) {
  const named = Object.entries(said).map(([name, seen]) => [OTHER_NAMES[name] ?? name, seen]);
  const strange = named.find(([name]) => !(name in CONDITIONS));
  if (strange) throw new RangeError(`conditions.${strange[0]}: is not a condition.`);
  return Object.fromEntries(named);
}

// True seen, false looked for and not seen, null not looked at.
export function wasSeen({ conditions }, name) {
  const said = (each) => conditions[each] ?? null;
  if (name !== "distortion") return said(name);
  const finer = KINDS_OF_DISTORTION.map(said);
  if (finer.includes(true)) return true;
  const none = finer.every((each) => each === false);
  return said("distortion") === null && none ? false : said("distortion");
}
