// What the round says of things that will not go by themselves: photographs the server refused, and
// checks begun whose task is on the round no more. Each can be put away, by a second tap.

import { button, holding, make } from "../dom.js";
import { answersOf, begunOn, leftBehind, putAway } from "./older.js";
import { readAll, write } from "./store.js";

const NAMES = { voice: "voice note", drawn: "drawn signature" };

function item(words, ...more) {
  const line = holding(make("li"), words, ...more);
  line.dataset.state = "told";
  return line;
}

// A button that asks once more.
function surely(words, again, sure) {
  const made = button(words, () => {
    if (made.textContent === again) return sure();
    made.textContent = again;
  });
  return made;
}

async function refusedPhotographs(person, receipts, showAgain) {
  const checks = new Map(receipts.map((each) => [each.id, each]));
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
    const shown = holding(make("details"), make("summary", "", "What you answered"), answersOf(draft));
    const away = async () => {
      await putAway([draft]);
      await showAgain();
    };
    const what = draft.tag ? `${draft.tag}: ${draft.title}, begun` : "A check begun";
    const words = `${what} on ${begunOn(draft)} and not finished.`;
    const more = draft.page ? [make("a", "", "Go on", { href: draft.page })] : [];
    return item(words, ...more, shown, surely("Put it away", "Really put it away", away));
  });
}

export async function leftOver(person, venue, receipts, showAgain) {
  return [...(await refusedPhotographs(person, receipts, showAgain)), ...(await begunBefore(person, venue, showAgain))];
}
