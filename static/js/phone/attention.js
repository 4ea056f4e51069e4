// A small question that varies, asked alone before the review: whoever taps through without
// looking has to look up once. Its answer is kept and never judged.

// Drawn by the check's own id, so that the same check asks the same one.
export const drawn = (items, id) => (items?.length ? items[Number(BigInt(`0x${id.slice(-12)}`) % BigInt(items.length))] : null);

export function askAttention(form, attention, goOn) {
  const page = document.createElement("section");
  page.className = "section check-review attention";
  const heading = Object.assign(document.createElement("h2"), { textContent: attention.item.question, tabIndex: -1 });
  const why = Object.assign(document.createElement("p"), { className: "help", textContent: `${attention.item.why} It changes no verdict.` });
  const choices = document.createElement("div");
  choices.className = "choices";
  const leave = () => {
    page.remove();
    form.hidden = false;
  };
  choices.append(
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

function button(words, tapped) {
  const made = Object.assign(document.createElement("button"), { type: "button", className: "button", textContent: words });
  made.addEventListener("click", tapped);
  return made;
}
