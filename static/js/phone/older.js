// A check begun on this phone whose questions were replaced since. It cannot be sent as if those
// questions still stood, and it is not thrown away: it is shown, read only, until the new one is
// saved or the person puts it away. Even then it stays on the phone, only out of sight.

import { button, make, row } from "../dom.js";
import { readTogether, write } from "./store.js";

const GIVEN = { could_not_look: "could not look", not_applicable: "not applicable here" };

// The person's checks that were begun on this phone and not handed over (a draft that was is never
// used again, even if a copy of it was left behind), and the round as it was taken along.
export async function begunHere(person, venue) {
  const [handedOver, found] = [new Set(), { drafts: [], round: null }];
  await readTogether(["drafts", "outbox", "receipts", "facts"], ({ drafts, outbox, receipts, facts }) => {
    facts.get(`round:${venue}`).onsuccess = ({ target }) => (found.round = target.result?.value ?? null);
    drafts.getAll().onsuccess = ({ target }) => {
      found.drafts = target.result.filter((each) => each.person === person);
      for (const { id } of found.drafts) {
        for (const store of [outbox, receipts]) store.getKey(id).onsuccess = (got) => handedOver.add(got.target.result);
      }
    };
  });
  return { ...found, drafts: found.drafts.filter(({ id }) => !handedOver.has(id)) };
}

// Not put away, and holding an answer.
const unfinished = ({ drafts }) => drafts.filter((each) => !each.put_away && Object.keys(each.answers).length);

// Of the same thing, with other questions: the task's own of before, or of a task that is no more
// on the round and asked some of the same.
export function olderOf(here, { task, equipment, regime, questions }) {
  const onRound = new Set((here.round?.tasks ?? []).map((each) => each.task));
  const keys = new Set(questions.map(({ key }) => key));
  const asksTheSame = (draft) => Object.keys(draft.answers).some((key) => keys.has(key));
  return unfinished(here).filter(
    (each) =>
      each.equipment === equipment &&
      each.task !== null &&
      (each.task === task ? each.regime !== regime : !onRound.has(each.task) && asksTheSame(each)),
  );
}

// Begun, and its task is on the round no more.
export async function leftBehind(person, venue) {
  const here = await begunHere(person, venue);
  if (!here.round) return [];
  const onRound = new Set(here.round.tasks.map(({ task }) => task));
  return unfinished(here).filter((each) => (each.venue ?? venue) === venue && !onRound.has(each.task));
}

export const putAway = (older) =>
  write(["drafts"], ({ drafts }) => older.forEach((each) => drafts.put({ ...each, put_away: new Date().toISOString() })));

function typedWords({ at, ...typed }) {
  const words = Object.entries(typed).map(([name, value]) => (name === "given" ? (GIVEN[value] ?? value) : `${name.replaceAll("_", " ")}: ${value}`));
  return words.join("; ") || "no answer";
}

export const begunOn = ({ started_at }) => new Date(started_at).toLocaleString([], { dateStyle: "medium", timeStyle: "short" });

export function answersOf({ answers, asked = {}, photographs, along = [] }, legendOf = () => "") {
  const list = make("dl", "older-answers");
  for (const [key, typed] of Object.entries(answers)) {
    const words = asked[key] ?? (legendOf(key) || key.split(".")[0].replaceAll("_", " "));
    list.append(make("dt", "", words), make("dd", "", typedWords(typed)));
  }
  if (photographs.length) list.append(make("dt", "", "Photographs"), make("dd", "", `${photographs.length}, on this phone`));
  if (along.length) list.append(make("dt", "", "Voice notes"), make("dd", "", `${along.length}, on this phone`));
  return list;
}

// Above the questions until the person chooses; after "Start again" below them.
export function offerOlder(form, older, begunAnew) {
  if (!older.length) return;
  const legendOf = (key) => form.querySelector(`[data-question="${CSS.escape(key)}"] legend`)?.textContent.trim();
  const page = make("section", "section older");
  const heading = make("h2", "", "The questions have changed since");
  const why = make("p", "", `You began this check on ${begunOn(older[0])}, and what you answered is below. It is not sent: the questions as they are now have to be answered.`);
  const again = button("Start again", () => startAgain(), "button main");
  const away = button("Put it away", async () => {
    await putAway(older);
    page.remove();
    form.hidden = false;
  });
  const startAgain = () => {
    heading.textContent = "What you answered before";
    why.textContent = "Read only. It stays here until the check is saved.";
    again.remove();
    form.hidden = false;
    form.after(page);
    scrollTo({ top: 0 });
  };
  page.append(heading, why, row(again, away), ...older.map((each) => answersOf(each, legendOf)));
  form.before(page);
  if (begunAnew) startAgain();
  else form.hidden = true;
}
