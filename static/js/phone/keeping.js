// A check that is kept on this phone at every answer and judged here; `check.js` asks it what it
// would otherwise ask the server.

import { judgeAnswer, worst } from "../judge/answers.js";
import { spoken } from "../dom.js";
import { fieldsOf, isChoice } from "../needs.js";
import { refusalOf } from "../photo.js";
import { showVerdict } from "../sending.js";
import { createAlong } from "./along.js";
import { drawn } from "./attention.js";
import { offerMark } from "./marking.js";
import { begunHere, offerOlder, olderOf } from "./older.js";
import { canonical, newId, nextNumber, read, sha256, write } from "./store.js";
import { keepTwin } from "./twins.js";
import { offerVoices } from "./voice.js";

const KEPT = "Kept on this phone";
const SOON = 400; // milliseconds in which a write changes no words

export async function createKeeping(form, { changed }) {
  const told = JSON.parse(document.getElementById(form.dataset.kept).textContent);
  const rules = fetch(told.rules).then((answer) => answer.json());
  const [here, inForce] = await Promise.all([begunHere(told.person, told.venue), rules]);
  const rulesets = Object.values(inForce.rulesets);
  const asked = new Map(told.questions.map((question) => [question.key, question]));
  const draft = begun(here, told) ?? fresh(here, told, form);
  const older = olderOf(here, told);
  const verdicts = new WeakMap();
  let keeping = Promise.resolve();
  let [writes, trouble, said] = [0, "", Object.keys(draft.answers).length ? KEPT : ""];

  // "Kept" is said of what is on the disk; only of a write that takes long that it is under way.
  const keep = () => {
    const mine = (writes += 1);
    const last = () => mine === writes;
    form.dataset.keeping = "";
    const late = setTimeout(() => tell(trouble, "Being kept…"), SOON);
    const done = (fault) => {
      clearTimeout(late);
      if (last()) delete form.dataset.keeping;
      tell(fault, !fault && last() ? KEPT : said);
    };
    keeping = keeping.then(() => write(["drafts"], ({ drafts }) => drafts.put(draft))).then(
      () => done(""),
      (fault) => done(fault.message),
    );
    return keeping;
  };
  const tell = (fault, words = said) => {
    [trouble, said] = [fault, words];
    changed();
  };

  function judge(fieldset) {
    const key = fieldset.dataset.question;
    const { at, ...typed } = draft.answers[key] ?? {};
    const photographs = draft.photographs.filter((each) => each.question === key).length;
    const verdict = judgeAnswer(asked.get(key), typed, rulesets, photographs);
    if (!verdict) return;
    if (verdict.complete) delete fieldset.dataset.refused;
    else fieldset.dataset.refused = "";
    verdicts.set(fieldset, { ...verdict, shownAt: performance.now() });
    showVerdict(fieldset, verdict);
  }

  function touch(fieldset) {
    const key = fieldset.dataset.question;
    const typed = Object.fromEntries(
      fieldsOf(fieldset)
        .filter((field) => !isChoice(field) || field.checked)
        .map(({ name, value }) => [name.slice(key.length + 1), value])
        .filter(([, value]) => value.trim()),
    );
    draft.answers[key] = { ...typed, at: new Date().toISOString() };
    judge(fieldset);
    keep();
  }

  // `marks`: the SHA-256 of the plain photograph that this one is drawn on.
  async function keepPhotograph(fieldset, blob, marks = "") {
    const [question, digest] = [fieldset.dataset.question, await sha256(blob)];
    const row = { check: draft.id, sha256: digest, question, blob, venue: told.venue, person: told.person };
    row.place = draft.photographs.length;
    await write(["photographs"], ({ photographs }) => photographs.put(row)).catch((fault) => tell(fault.message));
    if (trouble) return;
    const known = draft.photographs.some((each) => each.sha256 === digest);
    if (!known) draft.photographs.push(marks ? { question, sha256: digest, marks } : { question, sha256: digest });
    if (!marks) offerMark(fieldset, blob, (marked) => keepMarked(fieldset, digest, marked));
  }

  // Drawn on anew, the earlier drawing goes; the plain photograph stays and is sent first.
  async function keepMarked(fieldset, plain, marked) {
    const earlier = draft.photographs.filter(({ marks }) => marks === plain);
    draft.photographs = draft.photographs.filter(({ marks }) => marks !== plain);
    await keepPhotograph(fieldset, marked, plain);
    touch(fieldset);
    await keeping;
    const gone = earlier.filter((each) => !draft.photographs.some(({ sha256: digest }) => digest === each.sha256));
    await write(["photographs"], ({ photographs }) => gone.forEach((each) => photographs.delete([draft.id, each.sha256])));
  }

  async function addPhotographs(fieldset, files) {
    const refusals = [];
    for (const blob of files) {
      const refusal = await refusalOf(blob);
      if (refusal) {
        refusals.push(refusal);
        continue;
      }
      await keepPhotograph(fieldset, blob);
      if (trouble) return;
    }
    if (refusals.length) fieldset.querySelector("input[type=file]").value = "";
    tellPhotoFault(fieldset, refusals.join(" "));
    touch(fieldset);
  }

  // Draft to outbox in one transaction, under the id the draft had from its birth.
  async function save(remark, outKnown) {
    const goesAlong = await along.settled();
    await keeping;
    const { device, number } = await nextNumber();
    const states = Object.fromEntries(questions().map((each) => [each.dataset.question, verdicts.get(each)?.state ?? ""]));
    states[""] = worst(Object.values(states).filter(Boolean));
    const { id, started_at, answers, photographs, attention } = draft;
    const body = canonical({
      person: told.person, equipment: told.equipment, task: told.task, regime: told.regime, started_at, answers,
      saved_at: new Date().toISOString(), remark, device, number, release: told.release, photographs, states, attention,
      rulesets: Object.fromEntries(rulesets.map((each) => [each.slug, each.hash])), out_known: outKnown,
      pack_served_at: draft.pack_served_at, pack_phone_at: draft.pack_phone_at,
      along: goesAlong,
    });
    const entry = { id, what: "check", venue: told.venue, person: told.person, tag: told.tag, title: told.title, number, body };
    Object.assign(entry, { sha256: await sha256(body), saved_at: new Date().toISOString(), state: states[""], task: told.task });
    entry.passkeys = told.passkeys;
    await write(["drafts", "outbox"], ({ drafts, outbox }) => {
      drafts.delete(id);
      for (const each of older) drafts.put({ ...each, put_away: entry.saved_at });
      outbox.put(entry);
    });
    await keepTwin(entry).catch(() => {});
    return entry;
  }

  const along = createAlong(draft, told, keep);
  offerVoices(form, along);
  const questions = () => [...form.querySelectorAll("[data-question]")];
  refill(form, draft.answers);
  for (const { question, sha256: digest, marks } of draft.photographs) {
    const fieldset = form.querySelector(`[data-question="${CSS.escape(question)}"]`);
    const field = fieldset?.querySelector("input[type=file]");
    if (!field) continue;
    field.dataset.kept = "";
    const row = marks ? null : await read("photographs", [draft.id, digest]);
    if (row) offerMark(fieldset, row.blob, (marked) => keepMarked(fieldset, digest, marked));
  }
  questions().forEach(judge);
  offerOlder(form, older, Object.keys(draft.answers).length > 0);

  const item = drawn(told.attention, draft.id);
  const attention = item && {
    item,
    given: () => draft.attention?.answer ?? "",
    give(answer) {
      draft.attention = { slug: item.slug, question: item.question, answer, at: new Date().toISOString() };
      keep();
    },
  };

  return {
    along,
    attention,
    addPhotographs,
    save,
    judge,
    touch,
    send: (fieldset) => Promise.resolve(judge(fieldset)),
    unsent: () => [],
    verdictOf: (fieldset) => verdicts.get(fieldset) ?? null,
    isCurrent: () => true,
    words: () => trouble || said,
    photographsOf: (fieldset) => draft.photographs.filter(({ question }) => question === fieldset.dataset.question).length,
  };
}

// The check of this task that was begun here and not saved yet, the latest first.
const begun = ({ drafts }, { task, equipment, regime }) =>
  drafts.findLast((each) => each.task === task && each.equipment === equipment && each.regime === regime);

// Both clocks as they stood when the round was fetched go along: a clock changed since then shows.
function fresh({ round }, { venue, person, task, equipment, regime, tag, title }, form) {
  const now = new Date().toISOString();
  // In words, for whoever finds it when these questions are asked no more.
  const legends = [...form.querySelectorAll("[data-question]")].map((each) => [each.dataset.question, each.querySelector("legend").textContent.trim()]);
  return {
    id: newId(), venue, tag, title, asked: Object.fromEntries(legends), person, task, equipment, regime, started_at: now, answers: {}, photographs: [],
    page: task === null ? location.pathname : "",
    pack_phone_at: round?.asked ?? null, pack_served_at: round?.served_at ?? null,
  };
}

function refill(form, answers) {
  for (const fieldset of form.querySelectorAll("[data-question]")) {
    const key = fieldset.dataset.question;
    const typed = answers[key];
    if (!typed) continue;
    for (const field of fieldsOf(fieldset)) {
      const value = typed[field.name.slice(key.length + 1)] ?? "";
      if (isChoice(field)) field.defaultChecked = field.checked = field.value === value;
      else field.defaultValue = field.value = value;
    }
  }
}

function tellPhotoFault(fieldset, words) {
  const box = fieldset.querySelector(".file");
  const told = box.querySelector("[data-photo-fault]") ?? box.appendChild(spoken("field-error", "", "alert"));
  told.textContent = words;
  told.dataset.photoFault = "";
}
