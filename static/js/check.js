// One question at a time. The page is one plain form with every question in it; without this
// script it is simply long. docs/look.md says what the page must hold.

import { statusLine, stepButtons } from "./check_frame.js";
import { isAnswered, openFields, showWhatApplies, typedEarly } from "./needs.js";
import { createKeeping } from "./phone/keeping.js";
import { showReview } from "./phone/review.js";
import { shrinkPhotos } from "./photo.js";
import { createSending } from "./sending.js";
import { createUndo } from "./undo.js";

const TYPING_PAUSE = 450;
const VERDICT_PATIENCE = 3000;
const TIME_TO_SEE = 600;
const CALM = ["", "fit", "not judged", "done"];
const TYPED = ["text", "textarea", "number", "search"];

class Check {
  constructor(form, questions, sending) {
    this.form = form;
    this.questions = questions;
    this.sending = sending;
    this.here = 0;
    this.busy = false;
    this.leaving = false;
    this.timers = new WeakMap();
    this.undoing = createUndo();
    this.buildStatus();
    this.buildSteps();
    this.listen();
    this.start();
  }

  get question() {
    return this.questions[this.here];
  }

  // Both bring what this class holds on to: the places of words, and the buttons.
  buildStatus() {
    const { status, ...parts } = statusLine(this.questions.length);
    Object.assign(this, parts);
    this.form.prepend(status);
  }

  buildSteps() {
    const { steps, ...parts } = stepButtons({
      goBack: () => this.here > 0 && !this.busy && this.show(this.here - 1),
      takeBack: () => this.takeBack(),
      goOn: () => this.goOn(),
    });
    Object.assign(this, parts);
    this.form.append(this.openWords, steps);
    this.form.noValidate = true; // we say what is missing, at the question, in words
    this.form.classList.add("in-steps");
    for (const end of this.form.querySelectorAll("[data-check-end]")) end.hidden = true;
  }

  listen() {
    this.form.addEventListener("input", (event) => this.typed(event.target));
    this.form.addEventListener("change", (event) => this.photographed(event.target));
    this.form.addEventListener("keydown", (event) => this.keyed(event));
    this.form.addEventListener("submit", (event) => this.leave(event));
    this.form.addEventListener("goto", ({ detail }) => this.show(this.questions.indexOf(detail)));
    addEventListener("pageshow", (event) => {
      if (event.persisted) this.comeBack();
    });
    addEventListener("beforeunload", (event) => {
      if (!this.leaving && this.sending.unsent().length) event.preventDefault();
    });
  }

  // At the first open question, or at the one the review page points to.
  start() {
    this.questions.forEach(showWhatApplies);
    const early = this.questions.filter(typedEarly);
    const firstOpen = this.questions.findIndex((question) => !isAnswered(question) || early.includes(question));
    const reached = firstOpen < 0 ? this.questions.length - 1 : firstOpen;
    const asked = this.questions.findIndex((question) => question.id && location.hash === `#${question.id}`);
    this.questions.slice(0, reached + 1).forEach((question) => {
      question.dataset.visited = "yes";
    });
    const resumed = firstOpen < 0 ? 0 : firstOpen;
    this.show(asked >= 0 && asked <= reached ? asked : resumed, false);
    early.forEach((question) => this.answered(question, 0));
  }

  show(place, moveFocus = true) {
    this.here = place;
    this.questions.forEach((question, index) => {
      question.hidden = index !== place;
    });
    this.question.dataset.visited = "yes";
    showWhatApplies(this.question);
    this.undoing.watch(this.question);
    this.back.hidden = place === 0;
    const last = place === this.questions.length - 1;
    this.next.textContent = last ? this.form.dataset.reviewWords : "Next";
    this.openWords.textContent = "";
    this.showProgress();
    if (moveFocus) this.focusQuestion();
  }

  focusQuestion() {
    scrollTo({ top: 0 });
    const legend = this.question.querySelector("legend");
    legend?.setAttribute("tabindex", "-1");
    legend?.focus({ preventScroll: true });
  }

  showProgress() {
    this.undo.hidden = !this.undoing.can(this.question);
    this.questions.forEach((question, place) => {
      const segment = this.segments.children[place].classList;
      const state = this.sending.verdictOf(question)?.state;
      segment.toggle("is-done", question.dataset.visited === "yes" && isAnswered(question));
      segment.toggle("is-here", place === this.here);
      segment.toggle("is-bad", state === "out of service" || state === "retire");
    });
    this.count.textContent = `Question ${this.here + 1} of ${this.questions.length}`;
    const waiting = this.sending.unsent().length;
    const begun = this.questions.some((question) => question.dataset.touched);
    const words = this.sending.words ?? (() => (begun ? "Answers sent" : ""));
    this.sent.textContent = waiting ? `${waiting} not sent yet` : words();
  }

  holdAt(question) {
    const open = openFields(question)[0];
    const words = open ? "Answer this question first." : "This answer is not complete yet.";
    this.openWords.textContent = open?.dataset.openWords ?? words;
    (open ?? question.querySelector("input, select, textarea"))?.focus();
  }

  // Wait a moment for the verdict: whoever walks on should have seen what must stop.
  async hasSeenVerdict(question) {
    const shown = this.sending.verdictOf(question)?.shownAt;
    const calm = () => CALM.includes(this.sending.verdictOf(question)?.state ?? "");
    if (this.sending.isCurrent(question)) {
      return calm() || !shown || performance.now() - shown > TIME_TO_SEE;
    }
    const patience = new Promise((done) => setTimeout(done, VERDICT_PATIENCE));
    await Promise.race([this.sending.send(question), patience]);
    if (!this.sending.isCurrent(question)) return true; // no signal never blocks a check
    return calm();
  }

  async goOn() {
    const question = this.question;
    if (this.busy || this.leaving) return;
    if (!isAnswered(question)) return this.holdAt(question);
    // An answer left as it stood is asked about too: the server says whether it is complete.
    if (!this.sending.verdictOf(question) && !question.querySelector("[data-verdict][data-state]")) {
      this.sending.touch(question);
    }
    this.setBusy(true);
    const seen = await this.hasSeenVerdict(question);
    this.setBusy(false);
    this.showProgress();
    if (!isAnswered(question)) return this.holdAt(question);
    if (!seen) {
      this.openWords.textContent = "Read the verdict, then go on.";
      return question.querySelector("[data-verdict]")?.scrollIntoView({ block: "nearest" });
    }
    if (this.here < this.questions.length - 1) return this.show(this.here + 1);
    this.review();
  }

  setBusy(busy) {
    this.busy = busy;
    if (busy) this.next.setAttribute("aria-disabled", "true");
    else this.next.removeAttribute("aria-disabled");
  }

  review() {
    const open = this.questions.findIndex((question) => !isAnswered(question));
    if (open < 0 && this.sending.save) return showReview(this.form, this.questions, this.sending);
    if (open < 0) return this.form.requestSubmit();
    this.show(open);
    this.holdAt(this.questions[open]);
  }

  typed(field) {
    const question = field.closest("[data-question]");
    if (!question || field.type === "file") return;
    this.undoing.changed(question, field);
    this.answered(question, TYPED.includes(field.type) ? TYPING_PAUSE : 0);
  }

  takeBack() {
    const { question } = this;
    if (this.busy || !this.undoing.undo(question)) return;
    this.answered(question, 0);
    this.sending.send(question); // an answer taken back to nothing is told as well
    if (this.undo.hidden) this.next.focus();
  }

  async photographed(field) {
    const question = field.closest("[data-question]");
    if (!question || field.type !== "file") return;
    delete field.dataset.sent;
    this.setBusy(true);
    await shrinkPhotos(field);
    await this.sending.addPhotographs?.(question, field.files);
    this.setBusy(false);
    this.answered(question, 0);
  }

  answered(question, wait) {
    question.dataset.touched = "yes";
    showWhatApplies(question);
    this.sending.touch(question);
    this.openWords.textContent = "";
    this.showProgress();
    clearTimeout(this.timers.get(question));
    const send = () => {
      if (openFields(question).length === 0) this.sending.send(question);
    };
    this.timers.set(question, setTimeout(send, wait));
  }

  keyed(event) {
    if (event.key !== "Enter" || ["TEXTAREA", "BUTTON", "SUMMARY", "A"].includes(event.target.tagName)) return;
    event.preventDefault();
    this.goOn();
  }

  leave(event) {
    if (this.leaving) return event.preventDefault();
    this.leaving = true;
    this.setBusy(true);
    // A photograph the server has already is not sent twice.
    for (const photo of this.form.querySelectorAll("input[data-sent]")) photo.disabled = true;
  }

  comeBack() {
    this.leaving = false;
    this.setBusy(false);
    for (const photo of this.form.querySelectorAll("input[data-sent]")) photo.disabled = false;
  }
}

for (const form of document.querySelectorAll("form[data-check]")) {
  const questions = [...form.querySelectorAll("[data-question]")];
  if (!questions.length) continue;
  let check = null;
  const create = form.dataset.kept ? createKeeping : createSending;
  const sending = await create(form, { changed: () => check?.showProgress() });
  check = new Check(form, questions, sending);
  form.dispatchEvent(new CustomEvent("shown"));
}
