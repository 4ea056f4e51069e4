// "Take out of service" in one tap and a reason, with signal or without.

import { button, make, overPage, spoken } from "../dom.js";
import { sendAll, waitingOf } from "./outbox.js";
import { signal } from "./signals.js";
import { newId, nextNumber, sha256, write } from "./store.js";
import { keepTwin } from "./twins.js";

const REASONS = ["Noise or jerk", "Rope, chain or fitting", "Brake does not hold", "Does not stop where it should", "Something loose or in the way", "I am not sure it is safe"];

export function offerStop({ person, venue, changed }) {
  for (const link of document.querySelectorAll("a[data-stop]")) {
    link.addEventListener("click", (event) => {
      event.preventDefault();
      dialogFor(link, async (why) => {
        const entry = await press({ person, venue, why, equipment: Number(link.dataset.stop), tag: link.dataset.tag });
        await changed();
        await sendAll();
        await changed();
        return (await waitingOf(person)).some(({ id }) => id === entry.id);
      });
    });
  }
}

async function press({ person, venue, why, equipment, tag }) {
  const { device, number } = await nextNumber();
  const at = new Date().toISOString();
  const body = JSON.stringify({ person, equipment, why, reason: REASONS.indexOf(why), pressed_at: at, device, number });
  const entry = { id: newId(), what: "stop", venue, person, tag, title: `Out of service: ${why}`, number, body, saved_at: at };
  entry.sha256 = await sha256(body);
  await write(["outbox", "facts"], ({ outbox, facts }) => {
    outbox.put(entry);
    facts.put({ name: `out:${equipment}`, value: { why, at, id: entry.id } });
  });
  await keepTwin(entry).catch(() => {});
  signal("bad");
  return entry;
}

function dialogFor(link, pressed) {
  const heading = make("h2", "", `Take ${link.dataset.tag} out of service`);
  const told = spoken("", "Why? It takes effect as you tap.");
  const reasons = make("div", "choices");
  const danger = (words, tapped) => button(words, tapped, "button danger");
  const say = async (why) => {
    for (const button of reasons.querySelectorAll("button")) button.disabled = true;
    try {
      const waiting = await pressed(why);
      told.textContent = waiting
        ? "Out of service on this phone. Not sent yet: tell people by voice. It is sent by itself when there is signal."
        : "Out of service. The house knows.";
      reasons.hidden = true;
    } catch (fault) {
      told.textContent = `${fault.message} Tell people by voice, now.`;
    }
  };
  const own = make("input", "", "", { type: "text", maxLength: 300, placeholder: "Another reason" });
  own.setAttribute("aria-label", "Another reason");
  const ownReason = danger("Out of service, for this reason", () => own.value.trim() && say(own.value.trim()));
  reasons.append(...REASONS.map((why) => danger(why, () => say(why))), own, ownReason);
  const dialog = overPage("stop-now", heading, told, reasons, button("Close", () => dialog.close()));
  dialog.showModal();
}
