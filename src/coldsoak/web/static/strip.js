/** The strip at the foot of the page: what this device still holds, what was refused and why. */

import { formFor, isInHand, pageOf, putBack, reason } from "./right.js";
import { button, clock, make, tell } from "./say.js";
import { send } from "./send.js";
import { all, alter, changed, remove, whenChanged } from "./store.js";

/** @typedef {import("./store.js").Entry} Entry */

let trouble = "";
let shown = "";

/** Show the strip on this page, and keep it right. */
export function startStrip() {
  whenChanged((why) => {
    trouble = why ?? trouble;
    void show();
  });
  document.addEventListener("fresh", () => void show());
  void show();
}

async function show() {
  const strip = document.getElementById("outbox");
  if (!strip) return;
  /** @type {Entry[]} */
  const held = await all().catch(() => []);
  const state = JSON.stringify([trouble, held.map((one) => [one.n, one.state, one.why, isInHand(one), Boolean(formFor(one))])]);
  document.dispatchEvent(new CustomEvent("held", { detail: held }));
  if (state === shown) return;
  shown = state;
  const open = strip.querySelector("details")?.open ?? false;
  const looking = held.filter((one) => one.why && !isInHand(one)).reverse(); // the newest is what somebody has in mind
  const waiting = held.filter((one) => !one.why);
  strip.hidden = looking.length + waiting.length === 0;
  strip.replaceChildren(
    ...(looking.length ? [make("ul", { className: "looking" }, ...looking.map(refusedItem))] : []),
    ...(waiting.length ? [waitingPart(waiting, open)] : []),
  );
}

/** @param {Entry[]} waiting @param {boolean} open */
function waitingPart(waiting, open) {
  const many = waiting.length === 1 ? "1 entry" : `${waiting.length} entries`;
  const items = waiting.map((one) => make("li", {}, `${said(one)} (${clock(new Date(one.at))})${where(one)}`));
  return make(
    "details",
    { open },
    make("summary", {}, `${many} noted on this device, not yet sent.`),
    ...(trouble ? [make("p", {}, trouble)] : []),
    make("ul", {}, ...items),
    button("Send now", () => void send()),
  );
}

/** @param {Entry} entry */
function refusedItem(entry) {
  const refused = entry.state === "refused";
  const n = /** @type {number} */ (entry.n);
  const person = document.body.dataset.person ?? "";
  const again = async () => {
    await alter(n, { state: "waiting", why: undefined, by: person });
    changed();
    void send();
  };
  const away = async () => {
    if (!confirm(`Throw away for good: ${said(entry)} (${clock(new Date(entry.at))})?`)) return;
    await remove(n);
    tell("Thrown away.");
    changed();
  };
  return make(
    "li",
    {},
    make("p", {}, make("strong", {}, `${refused ? "Not taken" : "Not sent"}: ${said(entry)}`), ` (${clock(new Date(entry.at))})${where(entry)}`),
    make("p", {}, reason(entry)),
    make("div", { className: "row" }, ...(refused ? toRight(entry) : []), button(refused ? "Send again" : `Send as ${person}`, again), button("Throw away", away)),
  );
}

/** What leads back to where it was typed. @param {Entry} entry */
function toRight(entry) {
  const form = formFor(entry);
  const page = pageOf(entry);
  if (form) {
    const back = () => {
      putBack(entry, form);
      void show();
    };
    return [button("Put it right", back)];
  }
  return page && page !== location.pathname + location.search ? [make("a", { href: page, className: "button" }, "To its page")] : [];
}

/** @param {Entry} entry */
function said(entry) {
  const files = entry.fields.filter(([, value]) => typeof value !== "string").length;
  return entry.say + (files > 0 ? `, ${files === 1 ? "1 file" : `${files} files`}` : "");
}

/** @param {Entry} entry */
function where(entry) {
  return entry.job === `/jobs/${document.body.dataset.job}` ? "" : ", on another job";
}
