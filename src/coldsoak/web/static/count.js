/** Countdowns and ages second by second, pages that come anew by themselves, and forms that answer while they are filled in. */

import { isBusy, refresh } from "./refresh.js";
import { tell } from "./say.js";

const TYPING_MS = 400;

/** Count every `data-count-to`, renew pages with `data-again` seconds, answer forms with `data-fresh`. */
export function start() {
  tick();
  setInterval(tick, 1000);
  for (const kind of ["fresh", "ticked"]) document.addEventListener(kind, tick);
  /** @type {number | undefined} */
  let waiting;
  document.addEventListener("input", (event) => {
    const form = event.target instanceof Element ? event.target.closest("form[data-fresh]") : null;
    if (!(form instanceof HTMLFormElement)) return;
    clearTimeout(waiting);
    waiting = setTimeout(() => void answer(form), TYPING_MS);
  });
  for (const form of document.querySelectorAll("form[data-fresh]")) {
    if (form instanceof HTMLFormElement && isFilledIn(form)) void answer(form);
  }
}

/** Whether something was typed or chosen before anybody listened. @param {HTMLFormElement} form */
function isFilledIn(form) {
  return [...form.elements].some((one) => {
    if (one instanceof HTMLInputElement) return one.value !== one.defaultValue || one.checked !== one.defaultChecked;
    if (!(one instanceof HTMLSelectElement)) return false;
    return one.selectedIndex !== Math.max([...one.options].findIndex((option) => option.defaultSelected), 0);
  });
}

let seconds = 0;
/** @type {Set<string>} moments that have come */
const come = new Set();

function tick() {
  for (const one of document.querySelectorAll("[data-count-to]")) {
    const to = one.getAttribute("data-count-to") ?? "";
    const left = Math.round((Date.parse(to) - Date.now()) / 1000);
    if (Number.isNaN(left)) continue;
    const words = inWords(left);
    if (one.textContent !== words) one.textContent = words;
    if (left > 0 || come.has(to)) continue;
    come.add(to);
    if (left > -5) void moment(one);
  }
  for (const one of document.querySelectorAll("[data-age-of]")) age(one);
  const every = Number(document.querySelector("main [data-again]")?.getAttribute("data-again"));
  if (every > 0 && ++seconds % every === 0 && !document.hidden && !isBusy()) void refresh();
}

/** @type {string} the reading that was said to be old */
let old = "";

/** How long ago something was read, and that it is getting old. @param {Element} one */
function age(one) {
  const of = one.getAttribute("data-age-of") ?? "";
  const seconds = Math.max(Math.round((Date.now() - Date.parse(of)) / 1000), 0);
  if (Number.isNaN(seconds)) return;
  const isOld = seconds > Number(one.getAttribute("data-old-after"));
  const words = `${seconds < 2 ? "just now" : inWords(-seconds)}${isOld ? ": the forecast is getting old" : ""}`;
  if (one.textContent !== words) one.textContent = words;
  one.parentElement?.classList.toggle("old", isOld);
  if (isOld && old !== of) tell(`Last reading ${words}.`);
  if (isOld) old = of;
}

/** What was counted down to is now. @param {Element} one */
async function moment(one) {
  tell(one.getAttribute("data-then") ?? "The time has come.");
  if (!isBusy()) await refresh();
}

/**
 * A stretch of time as people say it.
 * @param {number} left seconds; negative ones are past
 */
export function inWords(left) {
  const all = Math.abs(left);
  const [h, m, s] = [Math.floor(all / 3600), Math.floor(all / 60) % 60, all % 60];
  const two = (/** @type {number} */ n) => String(n).padStart(2, "0");
  const span = h > 0 ? `${h} h ${two(m)} min` : m >= 10 ? `${m} min` : m > 0 ? `${m} min ${two(s)} s` : `${s} s`;
  const whole = span.replaceAll(" ", "\u00a0");
  return left > 0 ? `in ${whole}` : left === 0 ? "now" : `${whole} ago`;
}

/** Show what a form asks for while it is filled in. @param {HTMLFormElement} form */
async function answer(form) {
  if (!form.checkValidity()) return;
  const address = new URL(form.getAttribute("action") || location.pathname, location.href);
  address.search = new URLSearchParams(/** @type {any} */ (new FormData(form))).toString();
  if (address.pathname !== location.pathname) return;
  if (await refresh(address.href)) history.replaceState(null, "", address);
}
