// One step back in the question on the screen: what its fields held before the last change. What was
// typed in one field in one go is one step. Photographs are not among it: they are evidence.

import { fieldsOf, isChoice } from "./needs.js";

const heldBy = (question) => new Map(fieldsOf(question).map((field) => [field, isChoice(field) ? field.checked : field.value]));
const differ = (before, now) => [...now].filter(([field, value]) => before.get(field) !== value).map(([field]) => field);

export function createUndo() {
  const pasts = new WeakMap();

  function watch(question) {
    if (!pasts.has(question)) pasts.set(question, { now: heldBy(question), steps: [], field: null });
  }

  function changed(question, field) {
    watch(question);
    const past = pasts.get(question);
    const now = heldBy(question);
    if (!differ(past.now, now).length) return;
    if (isChoice(field) || past.field !== field) past.steps.push(past.now);
    past.now = now;
    past.field = field;
  }

  // Whether there was a step to take back.
  function undo(question) {
    const past = pasts.get(question);
    const before = past?.steps.pop();
    if (!before) return false;
    for (const [field, value] of before) field[isChoice(field) ? "checked" : "value"] = value;
    past.now = heldBy(question);
    past.field = null;
    return true;
  }

  return { watch, changed, undo, can: (question) => Boolean(pasts.get(question)?.steps.length) };
}
