/** An entry that was refused, put back into its form as it was typed, so that it can be put right and sent again. */

import { field, make } from "./say.js";
import { remove } from "./store.js";

/** @typedef {import("./store.js").Entry} Entry */

/** @type {WeakMap<HTMLFormElement, number>} the entry that a form was filled with */
const replaces = new WeakMap();
/** @type {Set<number>} entries that stand in a form of this page now */
const inHand = new Set();

/** Whether an entry is being put right on this page. @param {Entry} entry */
export const isInHand = (entry) => inHand.has(entry.n ?? 0);

/** Why an entry was refused; that it was stands beside it. @param {Entry} entry */
export const reason = (entry) => (entry.why ?? "").replace("this entry cannot be noted: ", "");

/** The form of this page that an entry can be typed into again. @param {Entry} entry @returns {HTMLFormElement | undefined} */
export function formFor(entry) {
  const name = value(entry, "form");
  const forms = /** @type {HTMLFormElement[]} */ ([...document.querySelectorAll("form[data-entry]")]);
  return forms.find((one) => one.getAttribute("action") === entry.url && (field(one, "form")?.value ?? "") === name && typed(one, entry).some((place) => value(entry, place.name)));
}

/** Where an entry was typed. @param {Entry} entry */
export function pageOf(entry) {
  const to = value(entry, "to");
  return to.startsWith("/jobs/") ? to : "";
}

/** Fill a form with an entry and say there why it was refused. @param {Entry} entry @param {HTMLFormElement} form */
export function putBack(entry, form) {
  const places = typed(form, entry);
  for (const place of places) {
    const said = value(entry, place.name);
    if (place instanceof HTMLInputElement && ["checkbox", "radio"].includes(place.type)) place.checked = place.value === said;
    else place.value = said;
  }
  const changed = places.filter(isChanged);
  const first = changed.find((one) => !(one instanceof HTMLSelectElement)) ?? changed[0] ?? places[0];
  for (const one of [...changed, first]) {
    for (let around = one.closest("details"); around; around = around.parentElement?.closest("details") ?? null) around.open = true;
  }
  form.querySelectorAll(".why").forEach((one) => one.remove());
  const why = make("p", { className: "refused why" }, reason(entry));
  const folded = first.closest("details");
  if (folded && form.contains(folded)) folded.querySelector("summary")?.after(why);
  else form.prepend(why);
  replaces.set(form, entry.n ?? 0);
  inHand.add(entry.n ?? 0);
  first.focus();
  why.scrollIntoView({ block: "center" });
}

/** A form is sent: what it was filled with is replaced by what it says now. @param {HTMLFormElement} form */
export async function replaced(form) {
  const n = replaces.get(form);
  form.querySelectorAll(".why").forEach((one) => one.remove());
  if (n === undefined) return;
  replaces.delete(form);
  await remove(n);
}

/** @param {HTMLFormElement} form @param {Entry} entry @returns {(HTMLInputElement | HTMLSelectElement | HTMLTextAreaElement)[]} fields that people see, and the entry has */
function typed(form, entry) {
  const names = new Set(entry.fields.filter(([, one]) => typeof one === "string").map(([name]) => name));
  const places = /** @type {HTMLInputElement[]} */ ([...form.querySelectorAll("input:not([type=hidden], [type=file]), select, textarea")]);
  return places.filter((one) => names.has(one.name) || one.type === "checkbox");
}

/** @param {HTMLInputElement | HTMLSelectElement | HTMLTextAreaElement} place */
function isChanged(place) {
  if (!(place instanceof HTMLSelectElement)) return place.value !== place.defaultValue;
  const options = [...place.options];
  return place.value !== (options.find((one) => one.defaultSelected) ?? options[0])?.value;
}

/** @param {Entry} entry @param {string} name */
function value(entry, name) {
  return String(entry.fields.find(([one]) => one === name)?.[1] ?? "");
}
