// On the page where a check that has arrived is signed: the passkey's way, where the device has one.

import { sendAll } from "./outbox.js";
import { offerSigning } from "./signing.js";
import { setFact } from "./store.js";

const told = document.getElementById("to-sign");

function begin(entry) {
  const place = document.querySelector("[data-sign]");
  if (document.querySelector("[data-signed]")) setFact(`signed:${entry.id}`, true).catch(() => {});
  else if (entry.passkeys.length && "PublicKeyCredential" in globalThis) {
    const signed = async () => {
      await sendAll();
      location.reload();
    };
    place.append(offerSigning(entry, entry.passkeys, signed, true));
    place.hidden = false;
  }
}

if (told) begin(JSON.parse(told.textContent));
