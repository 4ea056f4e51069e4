// What the round says of things that will not go by themselves: photographs the server refused, and
// checks begun whose task is on the round no more. Each can be put away, by a second tap.

import { answersOf, begunOn, leftBehind, putAway } from "./older.js";
import { readAll, write } from "./store.js";

const NAMES = { voice: "voice note", drawn: "drawn signature" };

function item(words, ...more) {
  const line = document.createElement("li");
  line.dataset.state = "told";
  line.append(words, ...more);
  return line;
}

// A button that asks once more.
function surely(words, again, sure) {
  const button = Object.assign(document.createElement("button"), { type: "button", className: "button", textContent: words });
  button.addEventListener("click", () => {
    if (button.textContent === again) return sure();
    button.textContent = again;
  });
  return button;
}

async function refusedPhotographs(person, showAgain) {
  const checks = new Map((await readAll("receipts")).map((each) => [each.id, each]));
  const mine = (await readAll("photographs")).filter((each) => each.person === person && each.trouble && checks.has(each.check));
  return mine.map(({ check, what, sha256, trouble }) => {
    const away = async () => {
      await write(["photographs"], ({ photographs }) => photographs.delete([check, sha256]));
      await showAgain();
    };
    const words = `${checks.get(check).tag}: a ${NAMES[what] ?? "photograph"} was not taken. ${trouble}`;
    return item(words, surely("Delete it from this phone", "Really delete it", away));
  });
}

async function begunBefore(person, venue, showAgain) {
  return (await leftBehind(person, venue)).map((draft) => {
    const shown = document.createElement("details");
    shown.append(Object.assign(document.createElement("summary"), { textContent: "What you answered" }), answersOf(draft));
    const away = async () => {
      await putAway([draft]);
      await showAgain();
    };
    const what = draft.tag ? `${draft.tag}: ${draft.title}, begun` : "A check begun";
    const words = `${what} on ${begunOn(draft)} and not finished.`;
    const more = draft.page ? [Object.assign(document.createElement("a"), { href: draft.page, textContent: "Go on" })] : [];
    return item(words, ...more, shown, surely("Put it away", "Really put it away", away));
  });
}

export async function leftOver(person, venue, showAgain) {
  return [...(await refusedPhotographs(person, showAgain)), ...(await begunBefore(person, venue, showAgain))];
}
