// Put behind the worker where messages to phones are switched on. It keeps and sends nothing: it
// shows what came, and opens what was tapped in a page of its own, so that a check under way stays.

addEventListener("push", (event) => {
  const { title, ...more } = event.data?.json() ?? { title: "Loftbook" };
  event.waitUntil(registration.showNotification(title, more));
});

addEventListener("notificationclick", (event) => {
  const { action, notification } = event;
  notification.close();
  const { url, stop } = notification.data ?? {};
  event.waitUntil(openPage(new URL((action === "stop" ? stop : url) ?? "/", location.origin)));
});

// Only ever a page of this book, whatever came.
async function openPage({ origin, pathname }) {
  const address = origin === location.origin ? origin + pathname : location.origin;
  const open = await clients.matchAll({ type: "window" });
  const same = open.find((page) => page.url === address);
  return same ? same.focus() : clients.openWindow(address);
}
