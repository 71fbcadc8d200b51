/** What the bay does in the browser. Each part works by attributes of the page and leaves other pages alone. */

import { startKeeping } from "./keep.js";
import { startLive } from "./live.js";
import { startOutbox } from "./outbox.js";
import { startStrip } from "./strip.js";

/** Parts that only some pages need, by what they work on. @type {[string, () => Promise<{start: () => unknown}>][]} */
let parts = [
  ["[data-bolt], [data-once]", () => import("./touch.js")],
  ["[data-count-to], [data-age-of], [data-again], [data-fresh]", () => import("./count.js")],
  ["[type=file]", () => import("./drop.js")],
  ["form[method=post]:not([data-entry]), [data-one-of]", () => import("./plain.js")],
];

function startParts() {
  const needed = parts.filter(([what]) => document.querySelector(what));
  parts = parts.filter((one) => !needed.includes(one));
  for (const one of needed) one[1]().then((part) => part.start(), () => parts.push(one)); // no connection: with the next page
}

startStrip();
startOutbox();
startLive();
startKeeping();
startParts();
document.addEventListener("fresh", startParts);
