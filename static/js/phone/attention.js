// A small question that varies, asked alone before the review: whoever taps through without
// looking has to look up once. Its answer is kept and never judged.

import { button, holding, make } from "../dom.js";

// Drawn by the check's own id, so that the same check asks the same one.
export const drawn = (items, id) => (items?.length ? items[Number(BigInt(`0x${id.slice(-12)}`) % BigInt(items.length))] : null);

export function askAttention(form, attention, goOn) {
  const page = make("section", "section check-review attention");
  // As it is shown, in the language of the page; as it is kept, in its own words.
  const [asked, because, ...names] = attention.item.shown;
  const heading = make("h2", "", asked, { tabIndex: -1 });
  const why = make("p", "help", `${because} It changes no verdict.`);
  const leave = () => {
    page.remove();
    form.hidden = false;
  };
  const choices = holding(
    make("div", "choices"),
    ...attention.item.choices.map((words, place) =>
      button(names[place], () => {
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
