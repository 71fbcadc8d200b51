/** What is looked at before a form goes: that it is filled in, and, where it takes the page with it, that somebody is there. */

import { bar, field, make, tell } from "./say.js";
import { LOG_IN, NO_CONNECTION } from "./send.js";

const PATIENCE_MS = 8_000;
const QUICK_MS = 1_000;
const LONGEST_MS = 300_000;
const STAYS = "Nothing was sent, and what was typed stays here: send it again then.";
const ON_ITS_WAY = "On its way to the shop's machine.";
const LONG = "A long log takes half a minute or more until it is read and judged. Leave this page open.";

/** @type {HTMLFormElement | null} the form that may go now */
let ready = null;
let under = false;
/** @type {number | undefined} */
let timer;

/** Ask whether somebody is there before a form takes the page away with it, and send it once. */
export function start() {
  document.addEventListener("submit", mustHave, true);
  document.addEventListener("submit", (event) => void onSubmit(event));
  addEventListener("pageshow", (event) => event.persisted && settle());
}

/** Of some fields one has to be filled in: where none is, the form says so and nothing is entered. @param {SubmitEvent} event */
function mustHave(event) {
  const form = event.target;
  if (!(form instanceof HTMLFormElement) || !form.dataset.oneOf) return;
  form.querySelectorAll(".why").forEach((one) => one.remove());
  const data = new FormData(form);
  if (form.dataset.oneOf.split(" ").some((name) => data.get(name))) return;
  event.preventDefault();
  const why = make("p", { className: "refused why" }, form.dataset.lacks ?? "");
  form.prepend(why);
  why.scrollIntoView({ block: "center" });
  tell(`Not taken: ${why.textContent}`);
}

/** @param {SubmitEvent} event */
async function onSubmit(event) {
  const form = event.target;
  if (!(form instanceof HTMLFormElement) || form.method !== "post" || form.dataset.entry || event.defaultPrevented) return;
  if (/^\/log(in|out)$/.test(form.getAttribute("action") ?? "")) return;
  if (ready === form) {
    ready = null;
    return;
  }
  event.preventDefault();
  if (under) return;
  under = true;
  bar("plain");
  const files = [...form.querySelectorAll("input[type=file]")].some((one) => /** @type {HTMLInputElement} */ (one).files?.length);
  timer = setTimeout(() => say(files ? `${ON_ITS_WAY} ${LONG}` : ON_ITS_WAY), files ? 0 : QUICK_MS);
  const why = await refused(form);
  if (why.length > 0) {
    settle();
    say(...why);
    return;
  }
  setTimeout(settle, LONGEST_MS);
  ready = form;
  form.requestSubmit(event.submitter);
}

/** Why a form cannot go now, nothing where it can. @param {HTMLFormElement} form @returns {Promise<(string | Node)[]>} */
async function refused(form) {
  try {
    const asked = { headers: { accept: "application/json" }, cache: /** @type {const} */ ("no-store"), signal: AbortSignal.timeout(PATIENCE_MS) };
    const answer = await fetch("/token", asked);
    if (answer.status === 401) return [make("a", { href: "/login", target: "_blank" }, LOG_IN.split(",")[0]), `. ${STAYS}`];
    const { token, person } = await answer.json();
    const here = document.body.dataset.person;
    if (!answer.ok || !token) return [`${NO_CONNECTION.split(".")[0]}. ${STAYS}`];
    if (here && person !== here) return [`At this device is now ${person}: load this page again. Nothing was sent.`];
    const place = field(form, "token");
    if (place) place.value = token;
    return [];
  } catch {
    return [`${NO_CONNECTION.split(".")[0]}. ${STAYS}`];
  }
}

function settle() {
  clearTimeout(timer);
  under = false;
  bar("plain");
}

/** @param {(string | Node)[]} inside */
function say(...inside) {
  const line = make("p", {}, ...inside);
  bar("plain", line);
  tell(line.textContent ?? "");
}
