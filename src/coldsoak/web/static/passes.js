/** A group of fasteners pass by pass, as the server draws it, with what is still on this device: views/group.py, views/bolts.py. */

import { field } from "./say.js";

/** @typedef {import("./store.js").Entry} Entry */

const RADIUS = 24;
/** @type {WeakSet<Element>} passes that somebody has chosen */
const chosen = new WeakSet();

/** Stay in the pass that was chosen. @param {HTMLSelectElement} select */
export const choose = (select) => void chosen.add(select);

/** The pass that the form is in. @param {HTMLFormElement} form */
export function shownPass(form) {
  return Number(field(form, "pass_number")?.value || 1);
}

/**
 * Go to the first pass that is not complete, unless somebody has chosen one, and show its bolts.
 * @param {HTMLFormElement} form
 * @param {Element[]} bolts
 * @param {Entry[]} entries of this group, which the server does not show yet
 */
export function drawBolts(form, bolts, entries) {
  const passes = Number(form.dataset.passes);
  const ours = new Set(entries.map(({ fields }) => Object.fromEntries(fields)).map((set) => `${set.position}/${set.pass_number ?? 1}`));
  /** @param {Element} bolt @param {number} pass */
  const isNoted = (bolt, pass) => {
    const by = (bolt.getAttribute("data-noted") ?? "").split(" ");
    return by.includes(String(pass)) || ours.has(`${bolt.getAttribute("data-bolt")}/${pass}`);
  };
  const rounds = Array.from({ length: passes }, (_, n) => n + 1);
  const open = rounds.find((pass) => !bolts.every((bolt) => isNoted(bolt, pass)));
  const select = field(form, "pass_number");
  const due = String(open ?? passes);
  if (select && (select.value === due || !chosen.has(select))) {
    chosen.delete(select);
    select.value = due;
  }
  const pass = shownPass(form);
  const inTurn = [...bolts].sort((one, other) => turn(one) - turn(other));
  const next = inTurn.find((bolt) => !isNoted(bolt, pass));
  for (const bolt of bolts) drawBolt(bolt, isNoted(bolt, pass), bolt === next, pass === Number(form.dataset.pass));
  const noted = bolts.filter((bolt) => isNoted(bolt, pass)).length;
  const state = form.querySelector(".passline .state");
  if (state) {
    write(state, passWords(noted, bolts.length, pass, passes));
    state.className = `state ${open ? "wait" : "good"}`;
    state.setAttribute("data-mark", open ? "→" : "✓");
    state.nextElementSibling?.toggleAttribute("hidden", !open);
  }
  const done = document.querySelector(`[data-of="${form.getAttribute("id")}"]`);
  if (done instanceof HTMLButtonElement) {
    write(done, (open ? done.dataset.lacks : done.dataset.full) ?? "");
    done.classList.toggle("main", !open);
  }
}

/** @param {Element} bolt */
const turn = (bolt) => Number(bolt.getAttribute("data-turn"));

/** @param {Element} bolt @param {boolean} isNoted @param {boolean} isNext @param {boolean} isServers whether the server says what it got */
function drawBolt(bolt, isNoted, isNext, isServers) {
  const number = bolt.getAttribute("data-bolt") ?? "";
  const state = isNoted ? "noted" : isNext ? "next" : "not yet";
  const label = bolt.getAttribute("aria-label") ?? "";
  const says = isServers && isNoted && label.includes(", noted, ");
  if (!says) bolt.setAttribute("aria-label", label.replace(/, (noted|next|not yet)\b.*$/, `, ${state}`));
  if (bolt instanceof HTMLButtonElement) {
    const word = bolt.dataset.word;
    write(bolt, word ? (isNoted ? "✓ noted" : word) : `${isNoted ? "✓ " : isNext ? "→ " : ""}${number}`);
    if (word) bolt.className = isNoted ? "wide" : "main";
    return;
  }
  bolt.setAttribute("aria-pressed", String(isNoted));
  const [circle, head, foot] = [bolt.querySelector("circle"), ...bolt.querySelectorAll("text")];
  const thick = isNext ? 6 : 2;
  const ink = circle?.getAttribute("stroke") ?? "";
  const paper = "#ffffff";
  circle?.setAttribute("fill", isNoted ? ink : paper);
  circle?.setAttribute("stroke-width", String(thick));
  circle?.setAttribute("r", String(RADIUS - thick / 2));
  for (const text of [head, foot]) text?.setAttribute("fill", isNoted ? paper : ink);
  write(head, isNoted ? "✓" : String(turn(bolt)));
  write(foot, isNoted ? String(turn(bolt)) : isNext ? "next" : `no. ${number}`);
}

/** The words of the server for the same: pass_words in views/group.py. @param {number} noted @param {number} many @param {number} pass @param {number} passes */
function passWords(noted, many, pass, passes) {
  if (noted === many && pass === passes) return many > 1 ? `All ${many} noted${passes > 1 ? ` in ${passes} passes` : ""}.` : "Noted.";
  const said = many > 1 ? `${noted} of ${many} noted.` : "not noted yet.";
  return passes > 1 ? `Pass ${pass} of ${passes}: ${said}` : said[0].toUpperCase() + said.slice(1);
}

/** @param {Element | undefined} place @param {string} words */
function write(place, words) {
  if (place && place.textContent !== words) place.textContent = words;
}
