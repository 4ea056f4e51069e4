// A small question that varies, asked alone before the review: whoever taps through without
// looking has to look up once. Its answer is kept and never judged.

import { button, holding, make } from "../dom.js";

// Drawn by the check's own id, so that the same check asks the same one.
export const drawn = (items, id) => (items?.length ? items[Number(BigInt(`0x${id.slice(-12)}`) % BigInt(items.length))] : null);

export function askAttention(form, attention, goOn) {
  const page = make("section", "section check-review attention");
  const heading = make("h2", "", attention.item.question, { tabIndex: -1 });
  const why = make("p", "help", `${attention.item.why} It changes no verdict.`);
  const leave = () => {
    page.remove();
    form.hidden = false;
  };
  const choices = holding(
    make("div", "choices"),
    ...attention.item.choices.map((words) =>
      button(words, () => {
        attention.give(words);
        leave();
        goOn();
      }),
    ),
  );
  page.append(heading, why, choices, button("Back to the questions", leave));
  form.hidden = true;
  form.after(page);
  scrollTo({ top: 0 });
  heading.focus({ preventScroll: true });
}
