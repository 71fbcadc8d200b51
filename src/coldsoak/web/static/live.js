/** What other devices enter on this job appears here at once, without disturbing whoever is typing. */

import { isBusy, refresh } from "./refresh.js";
import { bar, button, clock, make, tell } from "./say.js";

const LOST_AFTER_MS = 3_000;
const AGAIN_MS = 5_000;

/** @type {EventSource | null} */
let source = null;
/** @type {number | undefined} */
let lost;

/** Listen to the job of this page while the page is in sight. */
export function startLive() {
  if (!document.body.dataset.job || !("EventSource" in globalThis)) return;
  document.addEventListener("visibilitychange", () => (document.hidden ? stop() : listen()));
  addEventListener("pagehide", stop);
  addEventListener("pageshow", listen);
  document.addEventListener("fresh", () => bar("news"));
  listen();
}

function listen() {
  if (source || document.hidden) return;
  const { job, seq } = document.body.dataset;
  source = new EventSource(`/jobs/${job}/live?since=${seq ?? 0}`);
  source.addEventListener("open", () => {
    clearTimeout(lost);
    lost = undefined;
    bar("lost");
  });
  source.addEventListener("entry", (event) => void arrived(Number(event.data)));
  source.addEventListener("reading", () => {
    if (document.querySelector("[data-live]")) void refresh(undefined, true);
  });
  source.addEventListener("error", () => {
    lost ??= setTimeout(sayLost, LOST_AFTER_MS);
    if (source?.readyState !== EventSource.CLOSED) return;
    stop();
    setTimeout(listen, AGAIN_MS);
  });
}

function stop() {
  source?.close();
  source = null;
}

/** @param {number} seq the number of the last entry of the job */
async function arrived(seq) {
  if (seq <= Number(document.body.dataset.seq ?? 0)) return;
  if (!isBusy()) {
    if (await refresh()) tell("The page shows new entries.");
    return;
  }
  const words = "There are new entries on this job.";
  bar("news", make("p", {}, words), button("Show them", () => void refresh()));
  tell(words);
}

function sayLost() {
  const words = `No connection since ${clock(new Date())}. What is entered stays on this device until there is one.`;
  bar("lost", make("p", {}, words));
  tell(words);
}
