// What stands around the question that is shown: how far one is, and the buttons to go on and back.

const element = (name, className, textContent = "") =>
  Object.assign(document.createElement(name), { className, textContent });

export function statusLine(questions) {
  const segments = element("ol", "progress");
  segments.setAttribute("aria-hidden", "true");
  segments.append(...Array.from({ length: questions }, () => element("li", "")));
  const count = element("span", "");
  const sent = element("span", "");
  sent.setAttribute("role", "status");
  const line = element("p", "progress-words");
  line.append(count, sent);
  const status = element("div", "check-status");
  status.append(segments, line);
  return { status, segments, count, sent };
}

export function stepButtons() {
  const back = element("button", "button", "Back");
  const undo = element("button", "button", "Undo");
  const next = element("button", "button main", "Next");
  back.type = undo.type = next.type = "button";
  const openWords = element("p", "open-words");
  openWords.setAttribute("role", "alert");
  const steps = element("div", "check-steps");
  steps.append(back, undo, next);
  return { steps, back, undo, next, openWords };
}
