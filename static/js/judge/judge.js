// A rope judged by a rule set: the same answer as the server's, from the same rule set.

import { applyCombination } from "./combinations.js";
import { applies, applyCriterion, stateOf } from "./criteria.js";
import { ZERO } from "./exact.js";
import { CONDITIONS, FINER, STATES } from "./lists.js";
import { readObservation, readRope, readWindow, unique, wasSeen } from "./rope.js";

const OUTCOMES = { fit: "keep", watch: "watch", "cannot be decided": "cannot be decided" };

export function judgeRope(rope, observation, ruleset) {
  return judged(readRope(rope), readObservation(observation), withWindows(ruleset));
}

function withWindows(ruleset) {
  const criteria = ruleset.criteria.map((each) =>
    each.wanted ? { ...each, wanted: { ...each.wanted, window: readWindow(each.wanted.window) } } : withStretch(each),
  );
  return { ...ruleset, criteria };
}

const withStretch = (each) => (each.stretch ? { ...each, stretch: readWindow(each.stretch) } : each);

function judged(rope, seen, ruleset) {
  const applied = ruleset.criteria.map((criterion) =>
    criterion.combines.length
      ? applyCombination(criterion, rope, seen, ruleset.criteria)
      : applyCriterion(criterion, rope, seen),
  );
  const results = [...applied, ...seenBeyond(seen, ruleset), ...notSpokenOf(rope, ruleset)].map((each) => ({
    ...each,
    state: stateOf(each),
  }));
  const counted = results.filter(({ verdict }) => verdict !== "does not apply");
  return judgement(ruleset, counted.reduce(worse), results, counted);
}

function worse(one, other) {
  const gap = STATES.indexOf(other.state) - STATES.indexOf(one.state);
  if (gap) return gap > 0 ? other : one;
  return other.closeness.compare(one.closeness) > 0 ? other : one;
}

const PLAIN = { value: "", limit: "", comparator: "", margin: "", missing: [], verified: "", action: "", note: "", near: false, asks: "", severity: "" };

// Conditions seen that no criterion of the rule set covers: never passed over.
function seenBeyond(seen, { criteria }) {
  const covered = new Set(criteria.flatMap(({ conditions }) => conditions));
  if (criteria.some(({ indicator }) => indicator === "outer_wire_loss")) covered.add("outer_wires_worn");
  const names = Object.keys(CONDITIONS).filter((name) => !Object.values(FINER).flat().includes(name));
  return names
    .filter((name) => wasSeen(seen, name) && !covered.has(name))
    .map((name) => ({
      ...PLAIN, slug: `seen-${name}`, words: CONDITIONS[name], clause: "not in this rule set", verdict: "met",
      outcome: "out of service", value: "present", limit: "not present", verified: "common practice",
      action: "Out of service until a competent person has looked and decided.", closeness: ZERO,
      asks: "a competent person decides",
    }));
}

// What keeps a rule set from passing this rope: it says nothing of something that matters.
function notSpokenOf(rope, { criteria, incomplete }) {
  const missing = incomplete ? [incomplete] : [];
  const counting = criteria.filter(({ wanted, off }) => wanted && !off);
  if (counting.every((each) => applies(each, rope) === false)) {
    missing.push("a rule set that counts the broken wires of such a rope: this one does not");
  }
  return missing.map((words, place) => ({
    ...PLAIN, slug: `not-spoken-of-${place + 1}`, words: "what this rule set does not speak of",
    clause: "not in this rule set", verdict: "cannot be decided", outcome: "cannot be decided", missing: [words],
    closeness: ZERO,
  }));
}

function verdictOf(counted) {
  const verdicts = counted.map(({ verdict }) => verdict);
  if (verdicts.includes("met")) return "met";
  const open = verdicts.includes("cannot be decided") || verdicts.includes("switched off");
  return open ? "cannot be decided" : "not met";
}

function judgement(ruleset, deciding, results, counted) {
  const { words, clause, value, limit, comparator, margin, action, verified, state } = deciding;
  return {
    ruleset: ruleset.slug, title: ruleset.title, edition: ruleset.edition, hash: ruleset.hash, status: ruleset.status,
    verdict: verdictOf(counted), state, outcome: OUTCOMES[state] ?? deciding.outcome, words, clause, value, limit,
    comparator, margin, missing: unique(counted.flatMap((each) => each.missing)), action, verified,
    notes: unique(counted.map(({ note }) => note).filter(Boolean)), results: results.map(toldOf),
    caution: ruleset.caution, asks: deciding.asks,
  };
}

function toldOf({ outcome, near, closeness, ...told }) {
  return told;
}
