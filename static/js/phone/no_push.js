// Asked for by import() alone: this device gets no messages any more, since its person signed out or
// another holds it. Its browser tells the service, and the server hears of it when it next sends.
// Nobody waits long for that.

const PATIENCE = 2000;

async function unsubscribe() {
  const kept = await navigator.serviceWorker?.getRegistration();
  const subscription = await kept?.pushManager?.getSubscription();
  await subscription?.unsubscribe();
}

await Promise.race([unsubscribe().catch(() => {}), new Promise((done) => setTimeout(done, PATIENCE))]);
