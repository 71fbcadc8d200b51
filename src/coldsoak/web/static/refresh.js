/** The page as it stands now, put in place of the old one without taking away what somebody types, reads or looks at. */

/** @type {Promise<boolean> | null} */
let running = null;
/** @type {string | null} */
let wanted = null;
let partly = true;

/**
 * Load this page anew and change what has changed.
 * @param {string} [address] of the same page with other questions
 * @param {boolean} [quietly] change only what is `data-live` while somebody is at work in the page
 * @returns {Promise<boolean>} whether it could be loaded
 */
export function refresh(address, quietly = false) {
  wanted = address ?? location.href;
  partly &&= quietly;
  running ??= (async () => {
    let done = false;
    try {
      while (wanted) {
        const next = wanted;
        const some = partly;
        [wanted, partly] = [null, true];
        done = await renew(next, some);
      }
    } finally {
      running = null;
    }
    return done;
  })();
  return running;
}

/**
 * @param {string} address
 * @param {boolean} quietly
 */
async function renew(address, quietly) {
  const began = Date.now();
  const headers = { accept: "text/html", "x-part": "main" };
  const answer = await fetch(address, { headers, cache: "no-store" }).catch(() => null);
  if (!answer?.ok || new URL(answer.url).pathname !== new URL(address).pathname) return false;
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  const [old, fresh] = [document.getElementById("main"), page.getElementById("main")];
  if (!old || !fresh) return false;
  if (quietly && isBusy()) {
    for (const next of fresh.querySelectorAll("[data-live]")) {
      const there = document.getElementById(next.id);
      if (there) become(there, next);
    }
    document.dispatchEvent(new CustomEvent("ticked"));
    return true;
  }
  const active = old.contains(document.activeElement);
  become(old, fresh);
  if (active && !old.contains(document.activeElement)) {
    /** @type {HTMLElement | null} */ (old.querySelector(".do button, button, a"))?.focus({ preventScroll: true });
  }
  if (page.body.dataset.seq) document.body.dataset.seq = page.body.dataset.seq;
  document.dispatchEvent(new CustomEvent("fresh", { detail: began }));
  return true;
}

/** Whether somebody is at work in the page: something is typed, chosen or just being typed. */
export function isBusy() {
  return [...document.querySelectorAll("main :is(input, select, textarea)")].some(isTyped);
}

/** @param {Element} one */
function isTyped(one) {
  const isActive = one === document.activeElement;
  if (one.closest("[data-keep]") && !isActive) return false;
  if (one instanceof HTMLSelectElement) {
    const first = [...one.options].filter((choice) => choice.defaultSelected).pop() ?? one.options[0];
    return one.value !== (first?.value ?? "");
  }
  if (!(one instanceof HTMLInputElement || one instanceof HTMLTextAreaElement) || one.type === "hidden") return false;
  if (one.type === "checkbox" || one.type === "radio") {
    return /** @type {HTMLInputElement} */ (one).checked !== /** @type {HTMLInputElement} */ (one).defaultChecked;
  }
  const asks = one.closest("form[method=get]") !== null; // what is only asked for is lost to nobody
  return (isActive && one.value !== "") || (!asks && one.value !== one.defaultValue);
}

const PASSING = ["id", "token", "at", "to", "position"];

/**
 * What an element is, so that the same one is found again: its id; for a form, and for a line that holds one, what is set in it.
 * @param {Node} one
 */
function keyOf(one) {
  if (!(one instanceof Element)) return "";
  const named = one.getAttribute("id");
  if (named) return named;
  const form = one.matches("form") ? one : one.matches("li, details") && one.querySelector("form");
  if (!form) return "";
  const set = [...form.querySelectorAll("input[type=hidden]")].filter((field) => !PASSING.includes(field.getAttribute("name") ?? ""));
  return form.getAttribute("action") + set.map((field) => ` ${field.getAttribute("name")}=${field.getAttribute("value")}`).join("");
}

/**
 * Change an element into another; whatever is the same stays, with what is typed in it, its focus, scroll and frames.
 * @param {Element} old
 * @param {Element} fresh
 */
function become(old, fresh) {
  if (old.isEqualNode(fresh)) return;
  for (const { name } of [...old.attributes]) {
    if (!fresh.hasAttribute(name) && !(name === "open" && old.nodeName === "DETAILS")) old.removeAttribute(name);
  }
  for (const { name, value } of fresh.attributes) {
    if (old.getAttribute(name) === value) continue;
    old.setAttribute(name, value);
    if (!old.closest("[data-keep]")) continue; // what was kept for the next entry gives way to what the page now proposes
    if (name === "value" && old instanceof HTMLInputElement) old.value = value;
    if (name === "selected" && old instanceof HTMLOptionElement) old.selected = true;
  }
  const left = [...old.childNodes].map((node) => ({ node, key: keyOf(node) }));
  const pairs = [...fresh.childNodes].map((next) => {
    const key = keyOf(next);
    const at = left.findIndex((one) => one.node.nodeName === next.nodeName && one.key === key);
    return { next, kept: at < 0 ? null : left.splice(at, 1)[0].node };
  });
  for (const { node } of left) node.remove();
  let place = old.firstChild;
  for (const { next, kept } of pairs) {
    const one = kept ?? next;
    if (one === place) place = place.nextSibling;
    else old.insertBefore(one, place);
    if (kept instanceof Element) become(kept, /** @type {Element} */ (next));
    else if (kept && kept.nodeValue !== next.nodeValue) kept.nodeValue = next.nodeValue;
  }
}
