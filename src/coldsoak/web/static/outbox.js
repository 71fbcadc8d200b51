/** Entry forms: what was entered is kept on this device first, then sent; only then does the page call it noted. */

import { refresh } from "./refresh.js";
import { replaced } from "./right.js";
import { field, tell } from "./say.js";
import { afterSending, send, watch } from "./send.js";
import { add, changed } from "./store.js";

const SAME_TAP_MS = 800;

/** @type {Promise<unknown>} one after the other, so that the order of entering is the order of sending */
let tail = Promise.resolve();
/** @type {{text: string, time: number}} */
let last = { text: "", time: 0 };
/** @type {Map<string, string>} entries of this page, and where the page wants to be after them */
const ours = new Map();

/** @type {string | null} what the page said when something was entered last */
let heading = null;

/** Take over the entry forms of every page. */
export function startOutbox() {
  if (!("indexedDB" in globalThis)) return;
  document.addEventListener("submit", onSubmit);
  document.addEventListener("fresh", follow);
  afterSending(onSent);
  watch();
}

/** @param {SubmitEvent} event */
function onSubmit(event) {
  const form = event.target;
  if (!(form instanceof HTMLFormElement) || !form.dataset.entry || event.defaultPrevented) return;
  event.preventDefault();
  const data = new FormData(form);
  const button = /** @type {HTMLButtonElement | null} */ (event.submitter);
  if (button?.name) data.append(button.name, button.value);
  if (sameTap(form, data)) return;
  const at = String(data.get("at") ?? "") || now();
  const id = uuid(); // not the page's: a page that is kept for when there is no connection may come twice with the same
  data.set("id", id);
  data.set("at", at);
  data.delete("token");
  heading = headline()?.textContent ?? null;
  const address = new URL(form.getAttribute("action") || location.href, location.href);
  const multipart = form.getAttribute("enctype") === "multipart/form-data";
  ours.set(id, String(data.get("to") ?? ""));
  tail = tail.then(async () => {
    try {
      await add({
        id,
        at,
        job: address.pathname.match(/^\/jobs\/[^/]+/)?.[0] ?? address.pathname,
        url: address.pathname + address.search,
        say: words(form, data),
        fields: await plain(data),
        multipart,
        by: document.body.dataset.person ?? "",
        state: "waiting",
      });
    } catch {
      field(form, "id")?.setAttribute("value", id);
      if (button?.name) form.append(hidden(button.name, button.value));
      HTMLFormElement.prototype.submit.call(form); // this device keeps nothing: send it as any form
      return;
    }
    await replaced(form);
    settle(form);
    tell("Noted on this device.");
    changed();
    void send();
  });
}

/** @param {Set<string>} ids those that the shop has acknowledged */
async function onSent(ids) {
  const mine = [...ids].filter((id) => ours.has(id));
  const to = mine.map((id) => ours.get(id)).filter(Boolean).pop() ?? "";
  mine.forEach((id) => ours.delete(id));
  if (to.startsWith("/jobs") && to.split("#")[0] !== location.pathname + location.search) location.assign(to);
  else await refresh();
  heading = null;
}

/** What was entered here led to another step: it is brought into sight. */
function follow() {
  const now = headline();
  if (heading === null || !now || now.textContent === heading) return;
  heading = null;
  const { top, bottom } = now.getBoundingClientRect();
  if (top < 0 || bottom > innerHeight) now.scrollIntoView({ block: "start" });
}

function headline() {
  return document.querySelector("main h1");
}

/** A second tap of a glove on the same button is no second entry. @param {HTMLFormElement} form @param {FormData} data */
function sameTap(form, data) {
  const text = [...data].filter(([name]) => name !== "id").map(String).join("\n") + form.dataset.entry;
  const again = text === last.text && Date.now() - last.time < SAME_TAP_MS;
  last = { text, time: Date.now() };
  return again;
}

/** Empty what was typed, but for fields that stay for the next of the same kind. @param {HTMLFormElement} form */
function settle(form) {
  const stays = /** @type {HTMLInputElement[]} */ ([...form.elements].filter((one) => one.closest("[data-keep]")));
  const held = stays.map((one) => one.value);
  HTMLFormElement.prototype.reset.call(form);
  stays.forEach((one, n) => one.value === held[n] || (one.value = held[n]));
  form.dispatchEvent(new Event("settled", { bubbles: true }));
}

/** @param {string} name @param {string} value */
function hidden(name, value) {
  return Object.assign(document.createElement("input"), { type: "hidden", name, value });
}

/** The entry in words: `{position}` stands for what was entered there, or for the words that were chosen. @param {HTMLFormElement} form @param {FormData} data */
function words(form, data) {
  /** @param {string} name */
  const said = (name) => {
    const value = String(data.get(name) ?? "").replace("*", "·");
    const place = field(form, name);
    if (value && place instanceof HTMLSelectElement) return place.selectedOptions[0].text;
    const ticked = form.querySelector(`[type=radio][name="${CSS.escape(name)}"]:checked`);
    return ticked?.closest("label")?.textContent ?? value;
  };
  return (form.dataset.entry ?? "").replace(/\{([\w.]+)\}/g, (_, name) => said(name)).replace(/\s+/g, " ").trim();
}

/** @param {FormData} data @returns {Promise<import("./store.js").Entry["fields"]>} what a disk can keep for sure */
async function plain(data) {
  /** @type {import("./store.js").Entry["fields"]} */
  const fields = [];
  for (const [name, value] of data) {
    if (typeof value === "string") fields.push([name, value]);
    else if (value.size > 0 || value.name) {
      fields.push([name, { file: value.name, type: value.type, bytes: await value.arrayBuffer() }]);
    }
  }
  return fields;
}

/** A random UUID (RFC 9562, version 4), also where the page came over plain HTTP. */
export function uuid() {
  if (crypto.randomUUID) return crypto.randomUUID();
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((one) => one.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})/, "$1-$2-$3-$4-");
}

/** This moment by the clock on the wall, with its offset (RFC 3339). */
function now() {
  const moment = new Date();
  const east = -moment.getTimezoneOffset();
  const wall = new Date(moment.getTime() + east * 60_000).toISOString().slice(0, -1);
  const two = (/** @type {number} */ n) => String(Math.trunc(Math.abs(n))).padStart(2, "0");
  return `${wall}${east < 0 ? "-" : "+"}${two(east / 60)}:${two(east % 60)}`;
}
