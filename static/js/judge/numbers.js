// The number in what a person typed, read exactly and by the server's rule, in the same words.

import { Fraction } from "./exact.js";

export class Unreadable extends Error {}

const LONGEST = 40;
const SIGNS = { "½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8" };
const SAME = {
  "\u00a0": " ", "\u202f": " ", "\u2009": " ", "−": "-", "–": "-", "⁄": "/",
  "″": '"', "“": '"', "”": '"', "′": "'", "’": "'", "‘": "'",
};
// What the server calls a space: a little other than what this language does.
const SPACE = "[\\t-\\r\\x1c-\\x20\\x85\\u00a0\\u1680\\u2000-\\u200a\\u2028\\u2029\\u202f\\u205f\\u3000]+";
const SPACES = new RegExp(SPACE, "g");
const OUTER = new RegExp(`^${SPACE}|${SPACE}$`, "g");

export const stripped = (text) => text.replace(OUTER, "");
export const singleSpaced = (text) => stripped(text).replace(SPACES, " ");

export function tidy(text) {
  if ([...text].length > LONGEST) {
    throw new Unreadable(`Too long: type a number and its unit, ${LONGEST} characters at most.`);
  }
  let tidied = text;
  for (const [sign, plain] of Object.entries(SIGNS)) tidied = tidied.replaceAll(sign, ` ${plain}`);
  for (const [sign, plain] of Object.entries(SAME)) tidied = tidied.replaceAll(sign, plain);
  return singleSpaced(tidied.replaceAll("''", '"'));
}

export function splitNumber(text) {
  if (/^[-+]?[0-9.,]+ ?[eE] ?[-+]?[0-9]/.test(text)) {
    throw new Unreadable("Write the number out in full, without an exponent.");
  }
  const found = /^[-+]?[0-9.,][0-9., /-]*/.exec(text);
  if (!found) throw new Unreadable(`Start with a number, like 9.5 or 3/8; “${text}” does not.`);
  const number = found[0].replace(/[ /-]+$/, "");
  return [number, stripped(text.slice(number.length))];
}

export function readNumber(text) {
  const mixed = /^([0-9]+)(?: +| ?- ?)([0-9]+) ?\/ ?([0-9]+)$/.exec(text);
  if (mixed) return mixedNumber(text, ...mixed.slice(1).map(BigInt));
  const plain = /^([0-9]+) ?\/ ?([0-9]+)$/.exec(text);
  if (plain) return fraction(BigInt(plain[1]), BigInt(plain[2]));
  if (/^(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)$/.test(text)) return Fraction.from(text.startsWith(".") ? `0${text}` : text);
  return withComma(text);
}

function mixedNumber(text, full, top, bottom) {
  if (bottom && top >= bottom) {
    throw new Unreadable(`“${text}” has a fraction of one or more: type a whole number and a part below one.`);
  }
  return new Fraction(full).plus(fraction(top, bottom));
}

function fraction(top, bottom) {
  if (bottom === 0n) throw new Unreadable("A fraction cannot have 0 below the line: type it again.");
  return new Fraction(top, bottom);
}

function withComma(text) {
  const found = /^([0-9]+),([0-9]+)$/.exec(text);
  if (!found) {
    throw new Unreadable(
      `“${text}” is not a number this field reads: use digits with one point, like 1250 or 9.5, or a fraction, like 1 1/16.`,
    );
  }
  const [, before, after] = found;
  if (after.length === 3 && before !== "0") {
    throw new Unreadable(`“${text}” can mean ${before}${after} or ${before}.${after}: type one of these, without a comma.`);
  }
  return Fraction.from(`${before}.${after}`);
}
