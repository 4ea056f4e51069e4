// Messages on this device, on the page Messages alone. The browser is asked only by a tap on the
// button above which stands what comes, and never again once it was told no. The texts stand on the
// page; this says which of them holds.

const form = document.querySelector("form[data-push-key]");
const button = form.querySelector("button");
const offered = "serviceWorker" in navigator && "PushManager" in globalThis && "Notification" in globalThis;

function say(state) {
  for (const line of form.querySelectorAll("[data-push-says]")) line.hidden = line.dataset.pushSays !== state;
  button.hidden = !["not here", "failed"].includes(state);
  button.disabled = false;
}

const worker = () => navigator.serviceWorker.register("/sw.js");
const kept = async () => (await worker()).pushManager.getSubscription();

async function markOf({ endpoint }) {
  const digest = await crypto.subtle.digest("SHA-256", new TextEncoder().encode(endpoint));
  return [...new Uint8Array(digest)].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

// The row of this browser among the person's devices.
async function ownRow() {
  const subscription = await kept();
  return subscription && document.querySelector(`[data-device="${await markOf(subscription)}"]`);
}

async function state() {
  if (!offered) return "not offered";
  if (Notification.permission === "denied") return "denied";
  return (await ownRow()) && Notification.permission === "granted" ? "here" : "not here";
}

async function allow() {
  if ((await Notification.requestPermission()) !== "granted") return say(await state());
  // One that stands in no row of this person is another's, or was asked with another key.
  await (await kept())?.unsubscribe();
  const { pushManager } = await navigator.serviceWorker.ready;
  const asked = { userVisibleOnly: true, applicationServerKey: form.dataset.pushKey };
  const { endpoint, keys } = (await pushManager.subscribe(asked)).toJSON();
  for (const [name, value] of Object.entries({ endpoint, ...keys })) form.elements[name].value = value;
  return form.submit();
}

form.addEventListener("submit", (event) => {
  event.preventDefault();
  button.disabled = true;
  allow().catch(() => say("failed"));
});

async function forgetHere(row) {
  await (await kept())?.unsubscribe().catch(() => {});
  row.submit();
}

state().then(say, () => say("not offered"));
if (offered) {
  ownRow().then((row) =>
    row?.addEventListener("submit", (event) => {
      event.preventDefault();
      forgetHere(row);
    }),
  ).catch(() => {});
}
