// One answer as typed on the phone: read, and judged by the rule sets that came with the round.
// The same faults, verdicts and words as the server's for the same typed fields.

import { Fraction } from "./exact.js";
import { judgeRope } from "./judge.js";
import { judgeLimit } from "./limits.js";
import { STATES } from "./lists.js";
import { stripped, Unreadable } from "./numbers.js";
import { inUnit, Quantity, readQuantity, showExact, shown, withUnit } from "./quantities.js";
import { readTypedRope } from "./typed_rope.js";

const RANKS = ["not judged", ...STATES];
export const worst = (states) =>
  states.reduce((one, other) => (RANKS.indexOf(other) > RANKS.indexOf(one) ? other : one), "not judged");
const WITHOUT_LOOK = ["could_not_look", "not_applicable"];
const STATE_WORDS = {
  fit: "In order.",
  watch: "Noted: this will be watched.",
  restrict: "Not in order: a finding will be opened.",
  "out of service": "Not in order: this takes it out of service.",
  "cannot be decided": "Not known. This does not count as a pass.",
  "not judged": "Kept.",
};
export const STATE_NAMES = {
  fit: "Fit",
  watch: "Watch",
  restrict: "Restrict",
  "out of service": "Out of service",
  retire: "Retire",
  "cannot be decided": "Cannot be decided",
  "not judged": "Not judged",
};
const READERS = { measured: readMeasured, count: readCount, choice: readChoice, text: readText, rope: readRopeAnswer };

// question: as the round's data has it. typed: {field: text}. photographs: how many there are.
export function judgeAnswer(question, typed, rulesets, photographs = 0) {
  if (!Object.keys(typed).length) return null;
  const answer = readAnswer(question, typed);
  const told = Boolean(answer.given) && !Object.keys(answer.faults).length && !Object.keys(answer.again).length;
  const judgements = told ? judgementsOn(answer, rulesets) : [];
  const state = told ? stateOfAnswer(answer, judgements) : "";
  return toldAnswer(answer, judgements, state, told, photographs);
}

function toldAnswer(answer, judgements, state, told, photographs) {
  const { question, given, faults, again } = answer;
  const looked = !WITHOUT_LOOK.includes(given);
  const photoMissing = looked && question.photo_needed && !photographs;
  const wrong = { ...faults, ...again };
  if (photoMissing) wrong.photo = "Take a photograph; this question needs one.";
  const open = Object.keys(wrong).length > 0;
  const words = open ? Object.values(wrong).join(" ") : wordsOf(judgements, state);
  const before = told && !photoMissing ? changeSince(answer) : "";
  return { state: open ? "" : state, words, faults: wrong, asked_again: again, complete: told && !photoMissing, before };
}

// How a measured value differs from the time before; told only once it is given.
function changeSince({ question, measured }) {
  if (!question.before || !measured.length) return "";
  const last = Quantity.fromStored(question.before.quantity);
  const now = measured[0].quantity;
  const { day } = question.before;
  if (last.dimension !== now.dimension || last.scale !== now.scale) return `Last time ${last.typed}, on ${day}.`;
  const change = now.si.minus(last.si);
  const size = withUnit(shown(inUnit(change.size(), last.unit), null, 4), last.unit);
  const words = change.top ? `${size} ${change.top > 0n ? "more" : "less"}` : "the same";
  return `Last time ${showExact(last.si, last.unit)}, on ${day}: ${words} now.`;
}

function wordsOf(judgements, state) {
  if (!judgements.length) return STATE_WORDS[state] ?? "";
  const rank = (one) => RANKS.indexOf(one.state);
  return judgements.toSorted((one, other) => rank(other) - rank(one)).map(inWords).join(" ");
}

function inWords({ state, missing, value, limit, margin, title, clause }) {
  const figures = value ? `${value}, limit ${limit}${margin ? `, ${margin}` : ""}` : "";
  const unknown = missing.length ? `not known: ${missing.join(", ")}` : "";
  const why = [figures, unknown].filter(Boolean).join("; ");
  return `${STATE_NAMES[state]}${why ? ": " : ""}${why} (${[title, clause].filter(Boolean).join(", ")}).`;
}

function readAnswer(question, typed) {
  const answer = {
    question, given: "", text: stripped(typed.text ?? ""), reason: stripped(typed.reason ?? ""),
    measured: [], observation: null, faults: {}, again: {},
  };
  const cured = stripped(typed.cured_by ?? "");
  if (cured && !isDay(cured)) answer.faults.cured_by = "Write the day by which it is cured as year-month-day: 2027-05-31.";
  if (WITHOUT_LOOK.includes(typed.given)) readNotLooked(answer, typed.given);
  else (READERS[question.answer] ?? readYesNo)(answer, typed);
  return answer;
}

function isDay(text) {
  const day = new Date(`${text}T00:00:00Z`);
  return /^\d{4}-\d{2}-\d{2}$/.test(text) && !Number.isNaN(day.valueOf()) && day.toISOString().startsWith(text);
}

function readNotLooked(answer, given) {
  answer.given = given;
  if (!answer.reason) answer.faults.reason = "Say why, in a few words.";
  if (given === "not_applicable" && answer.question.answer === "rope") {
    answer.faults.given = "A rope in the register has to be looked at: say “could not look” and why.";
  }
}

function readYesNo(answer, { given }) {
  if (given === "yes" || given === "no") answer.given = given;
  else answer.faults.given = "Choose an answer.";
}

function readText(answer) {
  if (answer.text) answer.given = "value";
  else answer.faults.text = "Write what you found, or say that you could not look.";
}

function readChoice(answer, { choice = "" }) {
  if (answer.question.choices.includes(choice)) Object.assign(answer, { given: "value", text: choice });
  else answer.faults.choice = "Choose one of the answers.";
}

function readMeasured(answer, typed) {
  const { dimension } = answer.question;
  const value = readTyped(answer, typed, "value", dimension, typed.unit ?? "");
  if (!value) return;
  answer.given = "value";
  const unit = (typed.uncertainty_unit ?? "") || (typed.unit ?? "");
  const stated = stripped(typed.uncertainty ?? "");
  const uncertainty = stated ? readTyped(answer, typed, "uncertainty", dimension, unit, false) : null;
  answer.measured.push({ quantity: value, uncertainty });
}

function readCount(answer, typed) {
  const text = stripped(typed.value ?? "");
  if (!/^[0-9]{1,6}$/.test(text)) {
    answer.faults.value = "Type a whole number, 0 included.";
    return;
  }
  answer.given = "value";
  answer.measured.push({ quantity: readQuantity(text, "count", "1"), uncertainty: null });
}

function readRopeAnswer(answer, typed) {
  readTypedRope(answer, typed, readTyped);
}

// The quantity typed in one field, or null with the fault noted on the answer.
export function readTyped(answer, typed, name, dimension, unit, mayBeFar = true) {
  const text = stripped(typed[name] ?? "");
  const { question } = answer;
  if (!text) {
    answer.faults[name] = "Measure and type the value, or say that you could not look.";
    return null;
  }
  try {
    const value = readQuantity(text, dimension, unit || question.usual_unit || null, question.signed);
    if (mayBeFar && typed[`sure_${name}`] !== "yes") askAgain(answer, name, value);
    return value;
  } catch (fault) {
    if (!(fault instanceof Unreadable)) throw fault;
    answer.faults[name] = fault.message;
    return null;
  }
}

function askAgain(answer, name, value) {
  const { expected } = answer.question;
  if (!expected || !looksFarOff(value.si, Fraction.from(expected))) return;
  answer.again[name] =
    `${value.typed} is far from what was expected here. Look at the unit and the point, ` +
    "then correct it or say that it really is so.";
}

// Whether a reading looks wrong by a slip of unit or point.
function looksFarOff(reading, expected) {
  if (!reading.top || !expected.top) return false;
  const ratio = reading.over(expected).size();
  const larger = ratio.top > ratio.bottom ? ratio : new Fraction(ratio.bottom, ratio.top);
  return larger.compare(new Fraction(8n)) >= 0;
}

function judgementsOn({ question, observation, measured }, rulesets) {
  if (observation && question.rope) return rulesets.map((rules) => judgeRope(question.rope, observation, rules));
  if (!measured.length || !(question.minimum || question.maximum)) return [];
  const [{ quantity, uncertainty }] = measured;
  const kept = (limit) => (limit ? Quantity.fromStored(limit) : null);
  const limits = { minimum: kept(question.minimum), maximum: kept(question.maximum) };
  const judged = judgeLimit({ reading: quantity, uncertainty, ...limits });
  return [{ ...judged, title: question.source, clause: question.clause }];
}

function stateOfAnswer({ question, given, measured }, judgements) {
  if (given === "could_not_look") return "cannot be decided";
  if (given === "not_applicable") return "not judged";
  if (judgements.length) return worst(judgements.map(({ state }) => checked(question, state)));
  if (question.answer === "rope") return "cannot be decided";
  if (given === "yes" || given === "no") return (given === "yes") === question.yes_means_good ? "fit" : question.bad_state;
  return measured.length && question.limit_not_known ? "cannot be decided" : "not judged";
}

// A limit that is not kept does what the check says, not more and not less.
function checked(question, state) {
  return question.answer === "rope" || state !== "out of service" ? state : question.bad_state;
}
