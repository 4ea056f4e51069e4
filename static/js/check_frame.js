// What stands around the question that is shown: how far one is, and the buttons to go on and back.

import { button, holding, make, spoken } from "./dom.js";

export function statusLine(questions) {
  const segments = holding(make("ol", "progress"), ...Array.from({ length: questions }, () => make("li")));
  segments.setAttribute("aria-hidden", "true");
  const [count, sent] = [make("span"), make("span")];
  sent.setAttribute("role", "status");
  const status = holding(make("div", "check-status"), segments, holding(make("p", "progress-words"), count, sent));
  return { status, segments, count, sent };
}

export function stepButtons({ goBack, takeBack, goOn }) {
  const [back, undo, next] = [button("Back", goBack), button("Undo", takeBack), button("Next", goOn, "button main")];
  const openWords = spoken("open-words", "", "alert");
  return { steps: holding(make("div", "check-steps"), back, undo, next), back, undo, next, openWords };
}
