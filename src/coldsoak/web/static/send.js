/** Send what waits on this device: each entry once, in order within its job, from one page at a time. */

import { tell } from "./say.js";
import { all, alter, changed, lease, remove } from "./store.js";

/** @typedef {import("./store.js").Entry} Entry */
/** @typedef {{token: string, person: string}} Caller */

const AGAIN_MS = 20_000;
const PATIENCE_MS = 15_000;
const FILE_PATIENCE_MS = 180_000;
const OWNER = Math.random().toString(36).slice(2);
export const NO_CONNECTION = "No connection to the shop's machine. It is tried again by itself.";
export const LOG_IN = "Log in on this device, then it is sent by itself.";

/** @type {Promise<void> | null} */
let running = null;
let asked = false;
/** @type {((ids: Set<string>) => unknown)[]} */
const listeners = [];

/** @param {(ids: Set<string>) => unknown} listener called with the ids that the shop has acknowledged */
export const afterSending = (listener) => void listeners.push(listener);

/** Send now, on reconnecting, on coming back to the page, and every now and then. */
export function watch() {
  addEventListener("online", () => void send());
  document.addEventListener("visibilitychange", () => document.hidden || void send());
  setInterval(() => void send(), AGAIN_MS);
  void send();
}

/** Send everything that waits. @returns {Promise<void>} */
export function send() {
  asked = true;
  running ??= (async () => {
    try {
      while (asked) {
        asked = false;
        await alone(run);
      }
    } catch {
      // the disk of this device fails: the entries stay as they are
    } finally {
      running = null;
    }
  })();
  return running;
}

/** Of all pages on this device one sends. @param {() => Promise<void>} work */
async function alone(work) {
  if (navigator.locks) return navigator.locks.request("coldsoak-outbox", work);
  if (!(await lease(OWNER, 2 * PATIENCE_MS))) return;
  try {
    await work();
  } finally {
    await lease(OWNER, 0);
  }
}

async function run() {
  const passed = new Set();
  const sent = new Set();
  /** @type {Caller | null} */
  let caller = null;
  for (;;) {
    const next = (await all()).find((one) => one.state === "waiting" && !passed.has(one.n) && !passed.has(one.job));
    if (!next?.n) break;
    const who = (caller ??= await whoAsks());
    if (!who) break;
    passed.add(next.n);
    if (next.by && next.by !== who.person) {
      await alter(next.n, { why: `Entered by ${next.by}; at this device is now ${who.person}.` });
      continue;
    }
    const patienceMs = next.multipart ? FILE_PATIENCE_MS : PATIENCE_MS;
    if (!navigator.locks) await lease(OWNER, 2 * PATIENCE_MS + patienceMs);
    const { outcome, why } = await post(next, who, patienceMs);
    if (outcome === "noted") {
      await remove(next.n);
      sent.add(next.id);
    } else if (outcome === "refused") {
      await alter(next.n, { state: "refused", why });
      tell(`Not taken: ${why}`);
    } else {
      passed.add(next.job); // what follows on this job waits behind it
      changed(why);
      if (outcome === "nobody" || why === NO_CONNECTION) break;
    }
    if (outcome !== "later") changed("");
  }
  if (sent.size > 0) {
    tell(sent.size === 1 ? "Noted by the shop." : `${sent.size} entries noted by the shop.`);
    for (const listener of listeners) await listener(sent);
  }
  changed();
}

/** @returns {Promise<Caller | null>} */
async function whoAsks() {
  try {
    const answer = await ask("/token", {}, PATIENCE_MS);
    if (answer.ok && answer.said.token) return answer.said;
    changed(answer.status === 401 ? LOG_IN : NO_CONNECTION);
  } catch {
    changed(NO_CONNECTION);
  }
  return null;
}

/** @param {Entry} entry @param {Caller} caller @param {number} patienceMs */
async function post(entry, caller, patienceMs) {
  const body = entry.multipart ? new FormData() : new URLSearchParams();
  for (const [name, value] of entry.fields) {
    if (typeof value === "string") body.append(name, value);
    else if (body instanceof FormData) body.append(name, new Blob([value.bytes], { type: value.type }), value.file);
  }
  body.append("token", caller.token);
  try {
    const { ok, status, said } = await ask(entry.url, { method: "POST", body }, patienceMs);
    if (ok && Number.isInteger(said.seq)) return { outcome: "noted", why: "" };
    if (status === 401) return { outcome: "nobody", why: LOG_IN };
    if (status >= 500 || status === 408 || status === 429) {
      return { outcome: "later", why: said.sentence ?? "The shop's machine is busy. It is tried again by itself." };
    }
    const strange = "The shop's machine did not say that it was noted: look at the job, then send again or throw away.";
    return { outcome: "refused", why: said.sentence ?? strange };
  } catch {
    return { outcome: "later", why: NO_CONNECTION };
  }
}

/** @param {string} url @param {RequestInit} init @param {number} patienceMs */
async function ask(url, init, patienceMs) {
  const end = new AbortController();
  const timer = setTimeout(() => end.abort(), patienceMs);
  try {
    const headers = { accept: "application/json" };
    const answer = await fetch(url, { ...init, headers, cache: "no-store", redirect: "manual", signal: end.signal });
    const text = await answer.text(); // an answer that breaks off has not come
    const said = answer.headers.get("content-type")?.includes("json") ? JSON.parse(text) : {};
    return { ok: answer.ok, status: answer.status, said };
  } finally {
    clearTimeout(timer);
  }
}
