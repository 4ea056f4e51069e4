// Sign a saved check with the person's own passkey, without signal too: the device confirms the
// SHA-256 of exactly the bytes that are sent. It goes after its check, and waits like it.

import { button, holding, make, spoken } from "../dom.js";
import { fact, newId, readAll, sha256, write } from "./store.js";
import { keepTwin } from "./twins.js";

const SIGN_PATIENCE = 120000;
const UNSIGNED = "Nobody has signed it yet: it stands in your name by your sign-in alone.";
const MEANS =
  "It shows anybody, without this book, that your device confirmed exactly these answers; not that they are right. It is no “qualified” signature in the sense of any law.";
const OTHERWISE = "Once it is sent you can sign it with your password.";

const bytesOf = (base64url) => Uint8Array.from(atob(base64url.replaceAll("-", "+").replaceAll("_", "/")), (each) => each.charCodeAt(0));
const textOf = (buffer) =>
  btoa(String.fromCharCode(...new Uint8Array(buffer))).replaceAll("+", "-").replaceAll("/", "_").replace(/=+$/, "");
const bytesOfHex = (hex) => Uint8Array.from(hex.match(/../g), (pair) => parseInt(pair, 16));

export const signPage = ({ venue, id }) => `/v/${venue}/records/${id}/sign/`;
// The checks that were signed here. A signature that the server put aside counts for nothing.
export async function signedHere(receipts) {
  const messages = [...(await readAll("outbox")), ...(receipts ?? (await readAll("receipts")))];
  return new Set(messages.filter(({ what, aside }) => what === "signature" && !aside).map(({ check }) => check));
}

// With a password, too, which is known from its page. `here`: asked once where many are looked at.
export const hasSigned = async ({ id }, here) => (here ?? (await signedHere())).has(id) || Boolean(await fact(`signed:${id}`));

async function sign(entry, passkeys) {
  const { rawId, response } = await navigator.credentials.get({
    publicKey: {
      challenge: bytesOfHex(entry.sha256),
      allowCredentials: passkeys.map((id) => ({ type: "public-key", id: bytesOf(id) })),
      userVerification: "preferred",
      timeout: SIGN_PATIENCE,
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

// Where a check may be signed: what it means, the button, and what became of it. `brief`: it was said before.
export function offerSigning(entry, passkeys, signed, brief = false) {
  const can = "PublicKeyCredential" in globalThis && passkeys?.length;
  const told = spoken("", can || brief ? UNSIGNED : `${UNSIGNED} ${OTHERWISE}`);
  const box = holding(make("div", "stack-close"), told);
  if (!can) return box;
  const offer = button("Sign with your passkey", async () => {
    offer.disabled = true;
    try {
      await sign(entry, passkeys);
      offer.remove();
      told.textContent = "Signed on this phone with your passkey. The signature is sent after the check.";
      await signed();
    } catch (fault) {
      const why = fault.name === "NotAllowedError" ? "the device did not confirm it" : fault.message;
      told.textContent = `Not signed: ${why}. The check is saved all the same. Try again, or sign with your password when it is sent.`;
      offer.disabled = false;
    }
  });
  box.append(offer);
  if (!brief) box.append(make("p", "quiet-words", `${MEANS} ${OTHERWISE}`));
  return box;
}
