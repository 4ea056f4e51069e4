// Sign a saved check with the person's own passkey, without signal too: the device confirms the
// SHA-256 of exactly the bytes that are sent. It goes after its check, and waits like it.

import { newId, sha256, write } from "./store.js";
import { keepTwin } from "./twins.js";

const PATIENCE = 120000;

const bytesOf = (base64url) => Uint8Array.from(atob(base64url.replaceAll("-", "+").replaceAll("_", "/")), (each) => each.charCodeAt(0));
const textOf = (buffer) =>
  btoa(String.fromCharCode(...new Uint8Array(buffer))).replaceAll("+", "-").replaceAll("/", "_").replace(/=+$/, "");
const bytesOfHex = (hex) => Uint8Array.from(hex.match(/../g), (pair) => parseInt(pair, 16));

export async function sign(entry, passkeys) {
  const { rawId, response } = await navigator.credentials.get({
    publicKey: {
      challenge: bytesOfHex(entry.sha256),
      allowCredentials: passkeys.map((id) => ({ type: "public-key", id: bytesOf(id) })),
      userVerification: "preferred",
      timeout: PATIENCE,
    },
  });
  const parts = { clientDataJSON: response.clientDataJSON, authenticatorData: response.authenticatorData, signature: response.signature };
  const body = JSON.stringify({
    person: entry.person, check: entry.id, credential: textOf(rawId),
    response: Object.fromEntries(Object.entries(parts).map(([name, buffer]) => [name, textOf(buffer)])),
  });
  const { venue, person, tag, number, id } = entry;
  const kept = { id: newId(), what: "signature", check: id, venue, person, tag, title: "Signature of a check", number: number + 0.5, body };
  Object.assign(kept, { sha256: await sha256(body), saved_at: new Date().toISOString() });
  await write(["outbox"], ({ outbox }) => outbox.put(kept));
  await keepTwin(kept).catch(() => {});
}

// What stands below "Saved on this phone". Without a passkey nothing is asked.
export function offerSigning(entry, passkeys, signed) {
  const box = document.createElement("div");
  box.className = "stack-close";
  const told = document.createElement("p");
  told.className = "quiet-words";
  told.setAttribute("role", "status");
  box.append(told);
  if (!("PublicKeyCredential" in globalThis) || !passkeys?.length) {
    told.textContent = "It stands in your name by your sign-in when it is sent.";
    return box;
  }
  told.textContent = "It stands in your name by your sign-in when it is sent. Signed with your passkey it also shows that your device confirmed exactly these answers. That is not a qualified signature in law.";
  const button = Object.assign(document.createElement("button"), { type: "button", className: "button", textContent: "Sign with your passkey" });
  button.addEventListener("click", async () => {
    button.disabled = true;
    try {
      await sign(entry, passkeys);
      button.remove();
      told.textContent = "Signed on this phone with your passkey. The signature is sent after the check.";
      await signed();
    } catch (fault) {
      told.textContent = `Not signed: ${fault.name === "NotAllowedError" ? "the device did not confirm it" : fault.message}. The check is saved all the same.`;
      button.disabled = false;
    }
  });
  box.append(button);
  return box;
}
