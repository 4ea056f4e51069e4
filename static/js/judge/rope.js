// A rope's facts and what was seen on it, from the JSON that docs/judge.md describes.

import { CHOICES, CONDITIONS, FINER, OTHER_NAMES } from "./lists.js";
import { quantityFrom } from "./quantities.js";

const FACTS = { nominal_diameter: "length", lay_length: "length", minimum_breaking_force: "force", baseline_diameter: "length", greatest_force: "force" };
const LOOSE = { instrument_uncertainty: "length", outer_wire_loss: "ratio", strength_loss: "ratio" };

export function readRope(said) {
  const rope = { ...said };
  for (const [name, dimension] of Object.entries(FACTS)) rope[name] = quantityFrom(said[name], dimension);
  for (const [name, choices] of Object.entries(CHOICES)) rope[name] = choice(name, said[name], choices);
  return { ...rope, seale_strands: sealeStrands(rope) };
}

// Seale as said, else by the construction's name: one that may be either leaves it unknown (null).
function sealeStrands({ seale, construction }) {
  if (known(seale) || !known(construction)) return seale ?? null;
  const name = construction.trim();
  if (/^[68]\s*x\s*19\s*s(eale)?\b.*$/i.test(name)) return true;
  return /^[68]\s*x\s*19\b[^/]*$/i.test(name) ? null : false;
}

export const unique = (words) => [...new Set(words)];
export const known = (fact) => fact !== null && fact !== undefined;

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
const readPair = ({ a, b, position = null }) => ({
  a: quantityFrom(a, "length"), b: quantityFrom(b, "length"), position: quantityFrom(position, "length"),
});

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
  const whole = Object.keys(FINER).find((each) => FINER[each].includes(name));
  if (whole) return said(name) === null && said(whole) === false ? false : said(name);
  const finer = (FINER[name] ?? []).map(said);
  if (finer.includes(true)) return true;
  const none = finer.length > 0 && finer.every((each) => each === false);
  return said(name) === null && none ? false : said(name);
}
