/** Pages that were seen stay readable without a connection, where the browser can keep them; logging out clears them. */

/** Start the service worker, keep this page, and clear what is kept when somebody logs out. */
export function startKeeping() {
  void navigator.storage?.persist?.().catch(() => false);
  document.addEventListener("submit", (event) => {
    const form = /** @type {HTMLFormElement} */ (event.target);
    if (form.getAttribute("action") === "/logout") void forget();
  });
  if (!("serviceWorker" in navigator)) return;
  const known = navigator.serviceWorker.controller !== null;
  navigator.serviceWorker.addEventListener("controllerchange", () => {
    if (!known) void fetch(location.href, { headers: { accept: "text/html", "x-part": "main" } }).catch(() => null);
  });
  navigator.serviceWorker.register("/sw.js").catch(() => null);
}

async function forget() {
  for (const name of await globalThis.caches?.keys() ?? []) await caches.delete(name);
}
