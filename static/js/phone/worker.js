// Served at /sw.js with RELEASE and FILES put before it. Keeps the styles and scripts of its
// release, and gives kept pages when the network does not answer in time. It never touches what
// is sent, nor /sync/ addresses.

const SHELL = `loftbook-shell-${RELEASE}`;
const PAGES = "loftbook-pages";
const PATIENCE = 3000;
const ONE = ["/loftbook.js", "/loftbook.css"];

addEventListener("install", (event) => {
  event.waitUntil(
    caches
      .open(SHELL)
      .then((cache) => cache.addAll(FILES.map((file) => new Request(file, { cache: "no-cache" }))))
      .then(() => skipWaiting()),
  );
});

// The files of older releases stay until the pages of this one have been kept.
addEventListener("activate", (event) => event.waitUntil(clients.claim()));

addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== location.origin) return;
  if (url.pathname.startsWith("/static/") || ONE.includes(url.pathname)) event.respondWith(fromShell(request));
  else if (request.mode === "navigate") event.respondWith(networkFirst(request));
  else if (url.pathname.endsWith("/sync/rules/")) event.respondWith(networkFirst(request));
});

async function fromShell(request) {
  const [shell, same] = [await caches.open(SHELL), { ignoreVary: true }]; // its address says what it is
  const kept = (await shell.match(request, same)) ?? (await caches.match(request, same));
  if (kept || !new URL(request.url).pathname.includes("/vendor/")) return kept ?? fetch(request);
  // What only some phones need is kept once it was needed.
  const fresh = await fetch(request);
  if (fresh.ok) await (await caches.open(SHELL)).put(request, fresh.clone());
  return fresh;
}

async function networkFirst(request) {
  const pages = await caches.open(PAGES);
  const kept = await pages.match(request, { ignoreSearch: true });
  if (!kept) return fetch(request).catch(() => nothingKept());
  const answer = fetch(request).then(async (fresh) => {
    if (fresh.ok && !fresh.redirected) await pages.put(request, fresh.clone());
    return fresh;
  });
  const late = new Promise((done) => setTimeout(done, PATIENCE));
  const fresh = await Promise.race([answer, late]).catch(() => null);
  // A server in trouble, or a sign-in page, must not hide what was kept.
  return fresh?.ok && !fresh.redirected ? fresh : kept;
}

function nothingKept() {
  const words =
    "<!doctype html><html lang=en><meta charset=utf-8><meta name=viewport content='width=device-width'>" +
    "<title>No signal</title><h1>No signal</h1><p>This page is not on this phone. What you saved is kept and will be sent.</p></html>";
  return new Response(words, { status: 503, headers: { "Content-Type": "text/html; charset=utf-8" } });
}

addEventListener("sync", (event) => {
  event.waitUntil(clients.matchAll().then((pages) => pages.forEach((page) => page.postMessage("send"))));
});
