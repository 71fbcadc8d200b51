/** What the bay does in the browser. Each part works by attributes of the page and leaves other pages alone. */

import { startKeeping } from "./keep.js";
import { startLive } from "./live.js";
import { startOutbox } from "./outbox.js";
import { startStrip } from "./strip.js";

/** Parts that only some pages need, by what they work on. @type {[string, () => Promise<{start: () => unknown}>][]} */
let parts = [
  ["[data-bolt], [data-once]", () => import("./touch.js")],
  ["[data-count-to], [data-again], [data-fresh]", () => import("./count.js")],
  ["[type=file]", () => import("./drop.js")],
];

function startParts() {
  const needed = parts.filter(([what]) => document.querySelector(what));
  parts = parts.filter((one) => !needed.includes(one));
  for (const [, load] of needed) load().then((part) => part.start());
}

startStrip();
startOutbox();
startLive();
startKeeping();
startParts();
document.addEventListener("fresh", startParts);
