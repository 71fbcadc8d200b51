/**
 * The service worker: our own files from this device, pages from the shop's machine, and without a connection the pages as
 * they were seen last. VERSION and FILES are set before this text by the server. Nothing that is sent is ever kept.
 */
/* global VERSION, FILES */

const worker = /** @type {ServiceWorkerGlobalScope} */ (/** @type {unknown} */ (self));
const OURS = `files-${VERSION}`;
const PAGES = `pages-${VERSION}`;
const MOST_PAGES = 60;
const PATIENCE_MS = 6000;
const NEVER = /^\/(api|login|logout|token|me|people|sw\.js)(\/|$)|\/(live|export)(\/|\.|$)/;

worker.addEventListener("install", (event) => {
  event.waitUntil(
    caches
      .open(OURS)
      .then((cache) => cache.addAll(FILES))
      .then(() => worker.skipWaiting()),
  );
});

worker.addEventListener("activate", (event) => {
  event.waitUntil(
    (async () => {
      for (const name of await caches.keys()) if (name !== OURS && name !== PAGES) await caches.delete(name);
      await worker.clients.claim();
    })(),
  );
});

worker.addEventListener("fetch", (event) => {
  const { request } = event;
  const { pathname, origin } = new URL(request.url);
  if (origin !== worker.location.origin) return;
  if (pathname === "/logout" || (pathname === "/login" && request.mode === "navigate")) {
    event.waitUntil(caches.delete(PAGES));
    return;
  }
  if (request.method !== "GET" || NEVER.test(pathname)) return;
  if (FILES.includes(pathname)) event.respondWith(file(request));
  else if (request.mode === "navigate" && request.destination === "document") event.respondWith(page(event));
  else if (request.headers.has("x-part")) event.respondWith(part(event));
});

/** @param {Request} request */
async function file(request) {
  const cache = await caches.open(OURS);
  return (await cache.match(request)) ?? fetch(request);
}

/** A page: fresh when the shop's machine answers in time, otherwise as it was seen last. @param {FetchEvent} event */
async function page(event) {
  const coming = fetch(event.request).then((answer) => kept(event, answer));
  const seen = await lastSeen(event.request.url);
  const late = seen && new Promise((resolve) => setTimeout(resolve, PATIENCE_MS));
  const answer = await Promise.race([coming.catch(() => null), ...(late ? [late] : [])]);
  if (answer instanceof Response && ![502, 503, 504].includes(answer.status)) return answer;
  event.waitUntil(coming.catch(() => null));
  return seen ?? answer ?? notSeen();
}

/** The same page, asked for by a page that is open. @param {FetchEvent} event */
async function part(event) {
  return kept(event, await fetch(event.request));
}

/** @param {FetchEvent} event @param {Response} answer */
function kept(event, answer) {
  const html = answer.headers.get("content-type")?.startsWith("text/html");
  if (answer.ok && html && !answer.redirected && answer.type === "basic") {
    event.waitUntil(keep(event.request.url, answer.clone()));
  }
  return answer;
}

/** @param {string} address @param {Response} answer */
async function keep(address, answer) {
  const headers = new Headers(answer.headers);
  headers.set("x-kept-at", new Date().toISOString());
  headers.delete("content-encoding");
  headers.delete("content-length");
  const cache = await caches.open(PAGES);
  await cache.delete(address);
  await cache.put(address, new Response(await answer.blob(), { headers }));
  const held = await cache.keys();
  for (const old of held.slice(0, Math.max(0, held.length - MOST_PAGES))) await cache.delete(old);
}

/** @param {string} address @returns {Promise<Response | null>} */
async function lastSeen(address) {
  const cache = await caches.open(PAGES);
  const found = (await cache.match(address)) ?? (await ofSameJob(cache, address));
  if (!found) return null;
  const at = new Date(found.headers.get("x-kept-at") ?? "");
  const clock = at.toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
  const day = at.toDateString() === new Date().toDateString() ? "" : ` on ${at.toLocaleDateString()}`;
  const words = `Shown as of ${clock}${day}, no connection. What is entered stays on this device until there is one.`;
  const text = (await found.text()).replace('<main id="main">', `$&<p class="kept" role="status">${words}</p>`);
  return new Response(text, { headers: found.headers });
}

/** The address of a job leads to its stage, which nobody can ask for now. @param {Cache} cache @param {string} address */
async function ofSameJob(cache, address) {
  const { pathname } = new URL(address);
  if (!/^\/jobs\/\d+\/?$/.test(pathname)) return undefined;
  const held = (await cache.keys()).filter((one) => new URL(one.url).pathname.startsWith(`${pathname}/`));
  return held.length ? cache.match(held[held.length - 1]) : undefined;
}

function notSeen() {
  const ours = `/static/${VERSION}/bay`;
  const text = `<!doctype html><html lang="en"><head><meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1"><title>No connection</title>
<link rel="stylesheet" href="${ours}.css"><script type="module" src="${ours}.js"></script></head>
<body><main id="main"><h1 class="says">No connection to the shop's machine, and this device has not seen this page.</h1>
<div class="row"><a class="button main" href="/">Jobs as they were seen last</a></div></main>
<section class="outbox" id="outbox" aria-label="Entries on this device" hidden></section></body></html>`;
  return new Response(text, { status: 503, headers: { "content-type": "text/html; charset=utf-8" } });
}
