/** Bolts are touched as they are tightened: the form around the map takes the touch as its entry. What waits is marked. */

import { field } from "./outbox.js";
import { make } from "./say.js";
import { all } from "./store.js";

/** @typedef {import("./store.js").Entry} Entry */

/** Take touches of bolts, by finger or key, and mark what is still on this device. */
export async function start() {
  document.addEventListener("click", (event) => touched(event));
  document.addEventListener("keydown", (event) => {
    if (event.key === "Enter" || event.key === " ") touched(event);
  });
  document.addEventListener("change", async () => mark(await all().catch(() => [])));
  document.addEventListener("held", (event) => mark(/** @type {CustomEvent} */ (event).detail));
  mark(await all().catch(() => []));
}

/** @param {Event} event */
function touched(event) {
  const bolt = event.target instanceof Element ? event.target.closest("[data-bolt]") : null;
  const form = bolt && formOf(bolt);
  if (!bolt || !form || bolt.closest("a, button")) return;
  event.preventDefault();
  const number = bolt.getAttribute("data-bolt") ?? "";
  const pass = field(form, "pass_number"); // a pass that the page does not show is none of its marks
  const another = pass instanceof HTMLSelectElement && !pass.selectedOptions[0]?.defaultSelected;
  const stands = (bolt.getAttribute("aria-pressed") === "true" && !another) || bolt.hasAttribute("data-held");
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

/** Bolts whose entry waits on this device: a dashed ring, and the words in their label. @param {Entry[]} held */
function mark(held) {
  for (const form of /** @type {NodeListOf<HTMLFormElement>} */ (document.querySelectorAll("form[data-once]"))) {
    const waits = held.some((one) => one.state === "waiting" && matches(one, form));
    if (waits === form.hasAttribute("data-held")) continue;
    form.toggleAttribute("data-held", waits);
    form.querySelectorAll("button").forEach((one) => (one.disabled = waits));
    if (waits) form.querySelector("button")?.after(make("p", { className: "said" }, "Noted on this device, not yet sent."));
    else form.querySelector(".said")?.remove();
  }
  for (const bolt of document.querySelectorAll("[data-bolt]")) {
    const form = formOf(bolt);
    const number = bolt.getAttribute("data-bolt");
    const waits = form !== null && held.some((one) => one.state === "waiting" && matches(one, form, number ?? ""));
    if (waits === bolt.hasAttribute("data-held")) continue;
    const label = bolt.getAttribute("aria-label") ?? `Bolt ${number}`;
    const words = ", noted on this device, not yet sent";
    bolt.toggleAttribute("data-held", waits);
    bolt.setAttribute("aria-label", waits ? label + words : label.replace(words, ""));
  }
}

/** @param {Entry} entry @param {HTMLFormElement} form @param {string} [position] */
function matches(entry, form, position) {
  const set = Object.fromEntries(entry.fields);
  const same = ["kind", "n", "fastener", "pass_number"].every((name) => !field(form, name) || field(form, name)?.value === set[name]);
  return same && entry.url === form.getAttribute("action") && set.position === position;
}
