/** Bolts are touched as they are tightened: the form around the map takes the touch as its entry. What waits is marked. */

import { choose, drawBolts, shownPass } from "./passes.js";
import { field, make } from "./say.js";
import { all } from "./store.js";

/** @typedef {import("./store.js").Entry} Entry */

const STILL_HELD_MS = 1_500;

/** @type {Entry[]} what waits on this device */
let waiting = [];
/** @type {Map<string, {entry: Entry, at: number}>} what the shop has acknowledged and this page does not show yet */
const gone = new Map();

/** Take touches of bolts, by finger or key, and mark what is still on this device. */
export async function start() {
  document.addEventListener("click", (event) => touched(event));
  document.addEventListener("keydown", (event) => {
    if (event.key === "Enter" || event.key === " ") touched(event);
  });
  document.addEventListener("change", (event) => {
    if (event.target instanceof HTMLSelectElement && event.target.name === "pass_number") choose(event.target);
    mark();
  });
  document.addEventListener("held", (event) => hold(/** @type {CustomEvent} */ (event).detail));
  document.addEventListener("fresh", (event) => {
    const began = /** @type {CustomEvent} */ (event).detail ?? Date.now();
    for (const [id, { at }] of gone) if (at < began) gone.delete(id);
    mark();
  });
  hold(await all().catch(() => []));
}

/** @param {Entry[]} held */
function hold(held) {
  const now = held.filter((one) => one.state === "waiting");
  for (const one of waiting) {
    if (!held.some(({ id }) => id === one.id)) gone.set(one.id, { entry: one, at: Date.now() });
  }
  waiting = now;
  mark();
}

/** @param {Event} event */
function touched(event) {
  const bolt = event.target instanceof Element ? event.target.closest("[data-bolt]") : null;
  const form = bolt && formOf(bolt);
  if (!bolt || !form || bolt.closest("a, button")) return;
  event.preventDefault();
  const number = bolt.getAttribute("data-bolt") ?? "";
  const stands = bolt.getAttribute("aria-pressed") === "true" || bolt.hasAttribute("data-held");
  if (stands && !confirm(`Bolt ${number} is noted in this pass. Note it again?`)) return;
  const position = field(form, "position");
  if (!position) return;
  position.value = number;
  form.requestSubmit();
}

/** The form that a map belongs to: the one it names, or the next one that asks for a position. @param {Element} bolt */
function formOf(bolt) {
  const named = bolt.closest("[data-form]")?.getAttribute("data-form");
  if (named) return /** @type {HTMLFormElement | null} */ (document.getElementById(named));
  for (let around = bolt.parentElement; around; around = around.parentElement) {
    const asking = around.querySelector('form[data-entry] [name="position"]');
    if (asking) return asking.closest("form");
  }
  return null;
}

/** Show what waits on this device, or was just acknowledged, as noted. */
function mark() {
  const known = [...waiting, ...[...gone.values()].map(({ entry }) => entry)];
  for (const form of /** @type {NodeListOf<HTMLFormElement>} */ (document.querySelectorAll("form[data-passes]"))) {
    drawBolts(form, boltsOf(form), known.filter((one) => matches(one, form, ["kind", "fastener"])));
  }
  for (const bolt of document.querySelectorAll("[data-bolt]")) {
    const form = formOf(bolt);
    const number = bolt.getAttribute("data-bolt");
    const waits = form !== null && waiting.some((one) => isOf(one, form, number));
    if (waits === bolt.hasAttribute("data-held")) continue;
    bolt.toggleAttribute("data-held", waits);
    const words = ", noted on this device, not yet sent";
    const label = (bolt.getAttribute("aria-label") ?? `Bolt ${number}`).replace(words, "");
    bolt.setAttribute("aria-label", waits ? label + words : label);
  }
  for (const form of /** @type {NodeListOf<HTMLFormElement>} */ (document.querySelectorAll("form[data-once]"))) {
    const waits = waiting.some((one) => matches(one, form, ["kind", "n"]));
    if (waits === form.hasAttribute("data-held")) continue;
    form.toggleAttribute("data-held", waits);
    form.querySelectorAll("button").forEach((one) => (one.disabled = waits));
    if (!waits) form.querySelector(".said")?.remove();
    else {
      form.querySelector("button")?.after(make("p", { className: "said" }, "Noted on this device, not yet sent."));
      if (form.matches(".done")) setTimeout(goOn, STILL_HELD_MS, form);
    }
  }
}

/** Without a connection the next step opens by itself. @param {HTMLFormElement} form of a step that is done */
function goOn(form) {
  if (!form.isConnected || !form.hasAttribute("data-held")) return;
  const ahead = /** @type {HTMLDetailsElement[]} */ ([...document.querySelectorAll("details.ahead")]);
  const next = ahead.find((one) => !one.querySelector("form.done[data-held]"));
  if (!next || next.open || form.compareDocumentPosition(next) & Node.DOCUMENT_POSITION_PRECEDING) return;
  const own = form.closest("details.ahead");
  if (own instanceof HTMLDetailsElement) own.open = false;
  next.open = true;
  next.scrollIntoView({ block: "start" });
}

/** @param {HTMLFormElement} form */
function boltsOf(form) {
  return [...document.querySelectorAll("[data-bolt]")].filter((one) => formOf(one) === form);
}

/** Whether an entry is of this bolt in the pass that is shown. @param {Entry} entry @param {HTMLFormElement} form @param {string | null} number */
function isOf(entry, form, number) {
  const set = Object.fromEntries(entry.fields);
  return matches(entry, form, ["kind", "fastener"]) && set.position === number && Number(set.pass_number ?? 1) === shownPass(form);
}

/** @param {Entry} entry @param {HTMLFormElement} form @param {string[]} names */
function matches(entry, form, names) {
  const set = Object.fromEntries(entry.fields);
  return entry.url === form.getAttribute("action") && names.every((name) => !field(form, name) || field(form, name)?.value === set[name]);
}
