// What was answered, before it is saved; then where it is. The page is the same without signal.

import { button, holding, make, spoken } from "../dom.js";
import { STATE_NAMES } from "../judge/answers.js";
import { markElement } from "../marks.js";
import { fieldsOf, isChoice } from "../needs.js";
import { askAttention } from "./attention.js";
import { drawnSignature } from "./drawn.js";
import { hasSigned, offerSigning, signPage } from "./signing.js";
import { sendAll, waitingOf } from "./outbox.js";
import { signal } from "./signals.js";
import { voiceOfWholeCheck } from "./voice.js";

const NOT_LOOKED = { could_not_look: "Could not look", not_applicable: "Not applicable here", yes: "Yes", no: "No" };

function answerWords(fieldset) {
  const typed = fieldsOf(fieldset).filter(
    (field) => field.value && (!isChoice(field) || field.checked) && !field.closest("[data-shown-if][hidden]"),
  );
  // A figure without the words beside it cannot be looked over.
  return typed.map((field) => {
    const { name, value, labels } = field;
    const words = labels?.[0]?.textContent.trim() ?? "";
    if (name.endsWith(":unit")) return `unit of bare numbers: ${words}`;
    if (isChoice(field)) return words || (NOT_LOOKED[value] ?? value);
    return words ? `${words}: ${value}` : value;
  }).join("; ");
}

function answerCard(fieldset, sending, goTo) {
  const { state = "", words = "" } = sending.verdictOf(fieldset) ?? {};
  const line = make("li", "card");
  const legend = fieldset.querySelector("legend").cloneNode(true);
  const part = legend.querySelector(".part");
  part?.remove();
  if (part) line.append(make("p", "quiet-words", part.textContent.trim()));
  line.append(make("h3", "", legend.textContent.trim()));
  line.append(make("p", "", answerWords(fieldset)));
  const photographs = sending.photographsOf(fieldset);
  if (photographs) line.append(make("p", "quiet-words", photographs === 1 ? "One photograph" : `${photographs} photographs`));
  const spoken = sending.along.of("voice", fieldset.dataset.question).length;
  if (spoken) line.append(make("p", "quiet-words", spoken === 1 ? "One voice note" : `${spoken} voice notes`));
  const verdict = make("p", "verdict");
  if (state) verdict.dataset.state = state.replaceAll(" ", "-");
  if (state && state !== "not judged") verdict.append(markElement(state.replaceAll(" ", "-")), " ");
  verdict.append(words);
  line.append(verdict, button("Change", () => goTo(fieldset), "button narrow"));
  return line;
}

function attentionRow({ item, given }, change) {
  const again = button("Change", change, "button narrow");
  const words = [make("h3", "", item.shown[0]), make("p", "", item.shown[item.choices.indexOf(given()) + 2]), make("p", "quiet-words", "Kept, not judged.")];
  return holding(make("li", "card"), ...words, again);
}

export function showReview(form, questions, sending) {
  const { attention } = sending;
  const reviewAgain = () => showReview(form, questions, sending);
  if (attention && !attention.given()) return askAttention(form, attention, reviewAgain);
  const page = make("section", "section check-review");
  const back = (fieldset) => {
    page.remove();
    form.hidden = false;
    form.dispatchEvent(new CustomEvent("goto", { detail: fieldset }));
  };
  const list = make("ol", "cards");
  list.append(...questions.map((fieldset) => answerCard(fieldset, sending, back)));
  if (attention) {
    const askAgain = () => {
      page.remove();
      askAttention(form, attention, reviewAgain);
    };
    list.append(attentionRow(attention, askAgain));
  }
  const remark = make("textarea", "", "", { id: "remark", rows: 3, maxLength: 4000 });
  const field = holding(make("div", "field"), make("label", "", "Anything else", { htmlFor: "remark" }), remark);
  const trouble = spoken("open-words", "", "alert");
  const keepIt = async () => {
    if (save.disabled) return;
    save.disabled = true;
    try {
      const entry = await sending.save(remark.value, "out" in document.body.dataset);
      showSaved(page, entry);
    } catch (fault) {
      trouble.textContent = `${fault.message} Nothing is lost: the answers stay on this page. Make room on the phone, then save again.`;
      save.disabled = false;
    }
  };
  const save = button("Save this check", keepIt, "button main");
  const heading = make("h2", "", "Look it over, then save", { tabIndex: -1 });
  page.append(heading, list, field, voiceOfWholeCheck(sending.along), drawnSignature(sending.along), trouble, save);
  form.hidden = true;
  form.after(page);
  scrollTo({ top: 0 });
  heading.focus({ preventScroll: true });
}

async function showSaved(page, entry) {
  const heading = make("h2", "", "Saved on this phone", { tabIndex: -1 });
  const state = make("p", "verdict", `Verdict of this phone: ${STATE_NAMES[entry.state]}.`);
  state.dataset.state = entry.state.replaceAll(" ", "-");
  const told = spoken("", "Being sent…");
  const round = make("a", "button main", "Back to my round", { href: `/v/${entry.venue}/round/` });
  Object.assign(page.dataset, { saved: entry.id, sha256: entry.sha256 });
  const signed = async () => {
    await sendAll();
    document.dispatchEvent(new CustomEvent("outbox"));
  };
  const signing = offerSigning(entry, entry.passkeys, signed);
  page.replaceChildren(heading, state, told, signing, round);
  scrollTo({ top: 0 });
  heading.focus({ preventScroll: true });
  signal("saved");
  await sendAll();
  await tellSent(entry, told, signing);
  document.dispatchEvent(new CustomEvent("outbox"));
}

// Once it is sent, which may be as soon as there is signal, the page says so.
async function tellSent(entry, told, signing) {
  const waits = (await waitingOf(entry.person)).some(({ id }) => id === entry.id);
  const words = waits ? "Not sent yet. It is sent by itself when there is signal; you may close this page." : "Sent: it stands in the book.";
  if (told.textContent !== words) told.textContent = words;
  if (waits) return document.addEventListener("outbox-told", () => tellSent(entry, told, signing), { once: true });
  if (!(await hasSigned(entry))) signing.append(make("a", "button", "Sign with your password", { href: signPage(entry) }));
}
