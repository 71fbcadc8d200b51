/** Files: dropped anywhere on their field, named with their size before they go, photos seen first. */

import { make } from "./say.js";

/** Take drops on `[data-drop]` for the file field inside, and say what was chosen. */
export function start() {
  for (const kind of ["dragover", "dragleave", "drop"]) {
    document.addEventListener(kind, (event) => dragged(/** @type {DragEvent} */ (event)));
  }
  document.addEventListener("change", (event) => {
    if (event.target instanceof HTMLInputElement && event.target.type === "file") chosen(event.target);
  });
  for (const kind of ["settled", "fresh"]) {
    document.addEventListener(kind, () => document.querySelectorAll("input[type=file]").forEach((one) => chosen(/** @type {HTMLInputElement} */ (one))));
  }
}

/** @param {DragEvent} event */
function dragged(event) {
  if (!event.dataTransfer?.types.includes("Files") || !document.querySelector("[data-drop]")) return;
  event.preventDefault(); // a file beside the field must not take the place of the page
  const place = event.target instanceof Element ? event.target.closest("[data-drop]") : null;
  document.querySelectorAll("[data-over]").forEach((one) => one.toggleAttribute("data-over", false));
  if (!place) return;
  if (event.type === "dragover") place.toggleAttribute("data-over", true);
  const input = /** @type {HTMLInputElement | null} */ (place.querySelector("input[type=file]"));
  if (event.type !== "drop" || !input || event.dataTransfer.files.length === 0) return;
  const files = new DataTransfer();
  const many = input.multiple ? [...event.dataTransfer.files] : [event.dataTransfer.files[0]];
  many.forEach((one) => files.items.add(one));
  input.files = files.files;
  input.dispatchEvent(new Event("change", { bubbles: true }));
}

/** @param {HTMLInputElement} input */
function chosen(input) {
  let said = input.nextElementSibling;
  if (!said?.classList.contains("chosen") && !input.files?.length) return;
  if (!said?.classList.contains("chosen")) {
    said = make("div", { className: "chosen" });
    said.setAttribute("role", "status");
    input.after(said);
  }
  said.querySelectorAll("img").forEach((one) => URL.revokeObjectURL(one.src));
  said.replaceChildren(...[...(input.files ?? [])].map(shown));
}

/** @param {File} file */
function shown(file) {
  const words = make("span", {}, `${file.name}, ${size(file.size)}`);
  if (!/^image\/(jpeg|png|webp)$/.test(file.type)) return make("p", {}, words);
  return make("p", {}, make("img", { src: URL.createObjectURL(file), alt: "The photo as it will be sent" }), words);
}

/** @param {number} bytes */
function size(bytes) {
  if (bytes < 1000) return `${bytes} bytes`;
  return bytes < 1_000_000 ? `${Math.round(bytes / 1000)} kB` : `${(bytes / 1_000_000).toFixed(1)} MB`;
}
