// Quantities as typed, with their exact value in SI. The units come from the server's own list.

import { exactText, Fraction, roundedText, whole } from "./exact.js";
import { readNumber, singleSpaced, splitNumber, stripped, tidy, Unreadable } from "./numbers.js";
import { UNITS } from "./lists.js";

const KNOWN = new Map(UNITS.map(([code, label, dimension, factor, spellings = [], exact = [], also = [], scale = ""]) => [
  code, { code, label, dimension, factor: Fraction.from(factor), spellings, exact, also, scale },
]));
const TONS = ["ton", "tons", "t", "short ton", "long ton", "us ton", "uk ton"];
const FEET_AND_INCHES = /^([0-9]+) ?(?:'|ft\.?|feet|foot) ?-? ?([0-9][0-9 .,/-]*?) ?(?:"|in\.?|inches|inch)$/iu;

const folded = (text) => text.toUpperCase().toLowerCase();
const serves = (unit, dimension) => unit.dimension === dimension || unit.also.includes(dimension);
const unitsOf = (dimension) => [...KNOWN.values()].filter((unit) => serves(unit, dimension));

export class Quantity {
  constructor(typed, value, unit, dimension) {
    Object.assign(this, { typed, value, unit, dimension });
    this.si = value.times(KNOWN.get(unit).factor);
    this.scale = KNOWN.get(unit).scale || dimension;
    Object.freeze(this);
  }

  static fromStored({ typed, value, unit, dimension }) {
    if (!KNOWN.has(unit) || !serves(KNOWN.get(unit), dimension)) {
      throw new RangeError(`${unit} is not a unit of ${dimension}.`);
    }
    return new Quantity(typed, Fraction.from(value), unit, dimension);
  }
}

// From text as a person types it, or from the form in which the server keeps it.
export function quantityFrom(value, dimension) {
  if (value === null || value === undefined || value instanceof Quantity) return value ?? null;
  return typeof value === "string" ? readQuantity(value, dimension) : Quantity.fromStored(value);
}

export function readQuantity(text, dimension, defaultUnit = null, allowNegative = false) {
  const usual = dimension === "count" ? KNOWN.get("1") : defaultUnit && findUnit(defaultUnit, dimension);
  const typed = stripped(text);
  let tidied = tidy(typed);
  if (!tidied) throw new Unreadable("Type a number and its unit.");
  const below = tidied.startsWith("-");
  if (below && !allowNegative) throw new Unreadable("Below zero is not possible here: type it without the minus.");
  if (below) tidied = stripped(tidied.slice(1));
  const parts = dimension === "length" ? FEET_AND_INCHES.exec(tidied) : null;
  const [value, unit] = parts ? [feetAndInches(parts), KNOWN.get("ft")] : numberAndUnit(tidied, dimension, usual);
  if (dimension === "count" && value.bottom !== 1n) throw new Unreadable("Type a whole number.");
  return new Quantity(typed, below ? value.negative() : value, unit.code, dimension);
}

function numberAndUnit(text, dimension, usual) {
  const [number, unitText] = splitNumber(text);
  const value = readNumber(number);
  if (unitText) return [value, namedUnit(unitText, dimension)];
  if (!usual) throw new Unreadable(`Type the unit too: ${choices(dimension)}.`);
  if (dimension === "length" && number.includes("/") && !["in", "ft"].includes(usual.code)) {
    throw new Unreadable(`Type the unit after ${number}: in or ${usual.code}.`);
  }
  return [value, usual];
}

function namedUnit(text, dimension) {
  const unit = findUnit(text, dimension);
  if (unit) return unit;
  const weights = ["mass", "force"].includes(dimension) && TONS.includes(folded(text));
  const fault = weights ? "means different weights to different people" : "is not a unit of this field";
  throw new Unreadable(`“${text}” ${fault}: type ${choices(dimension)}.`);
}

function findUnit(text, dimension) {
  const typed = singleSpaced(text.replaceAll("²", "2"));
  const offered = unitsOf(dimension);
  const toTheLetter = offered.find((unit) => typed === unit.code || unit.exact.includes(typed));
  if (toTheLetter) return toTheLetter;
  const spellings = (unit) => [...unit.spellings, ...(unit.exact.length ? [] : [unit.code])].map(folded);
  return offered.find((unit) => spellings(unit).includes(folded(typed))) ?? null;
}

function choices(dimension) {
  const codes = unitsOf(dimension).map((unit) => unit.code);
  return codes.length === 1 ? codes[0] : `${codes.slice(0, -1).join(", ")} or ${codes.at(-1)}`;
}

function feetAndInches([, feet, rest]) {
  const inches = readNumber(rest);
  if (inches.compare(whole(12)) >= 0) {
    throw new Unreadable("After whole feet there are less than 12 inches: type it again.");
  }
  return Fraction.from(feet).plus(inches.over(whole(12)));
}

export const inUnit = (si, unit) => si.over(KNOWN.get(unit).factor);

export function withUnit(number, unit) {
  const { label } = KNOWN.get(unit);
  return label ? `${number} ${label}` : number;
}

// Exactly, without any rounding.
export function showExact(si, unit) {
  const { label } = KNOWN.get(unit);
  return `${exactText(inUnit(si, unit))}${["", "°"].includes(label) ? "" : " "}${label}`;
}

// As few places as keep a figure on its own side of the figure beside it.
export function shown(value, beside = null, least = 2) {
  for (let places = least; places <= 12; places += 1) {
    const text = roundedText(value, places);
    if (!beside || Fraction.from(text).compare(beside) === value.compare(beside)) {
      return text.includes(".") ? text.replace(/0+$/, "").replace(/\.$/, "") : text;
    }
  }
  return exactText(value);
}

const PLACES = { "%": 2, mm: 2, 1: 2, in: 4 };
export const placesOf = (unit) => PLACES[unit] ?? 4;
