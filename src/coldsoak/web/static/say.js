/** Words of the page itself: for ears, in a bar at the foot of the screen, and small parts to build them from. */

const heard = document.createElement("p");
heard.className = "only-heard";
heard.setAttribute("role", "status");
document.body.append(heard);

/** Say something to whoever listens to the page. @param {string} sentence */
export function tell(sentence) {
  heard.textContent = "";
  setTimeout(() => (heard.textContent = sentence), 50);
}

/** What lies at the foot of the screen, over the page: nothing in the page moves under a finger when it comes and goes. */
const foot = document.createElement("div");
foot.className = "foot";
const strip = document.getElementById("outbox");
strip?.before(foot);
if (strip) foot.append(strip);
new ResizeObserver(() => document.documentElement.style.setProperty("--foot", `${foot.offsetHeight}px`)).observe(foot);

/**
 * Say something at the foot of the screen until it is taken back.
 * @param {string} key what it is about: the same one again replaces it
 * @param {(Node | string)[]} inside nothing takes it back
 */
export function bar(key, ...inside) {
  document.getElementById(`bar-${key}`)?.remove();
  if (inside.length > 0) foot.prepend(make("section", { id: `bar-${key}`, className: "bar", ariaLabel: "Message" }, ...inside));
}

/** @param {string} words @param {() => unknown} act */
export function button(words, act) {
  const made = make("button", { type: "button" }, words);
  made.addEventListener("click", act);
  return made;
}

/**
 * Make an element.
 * @template {keyof HTMLElementTagNameMap} K
 * @param {K} name
 * @param {Partial<HTMLElementTagNameMap[K]>} traits
 * @param {(Node | string)[]} inside
 * @returns {HTMLElementTagNameMap[K]}
 */
export function make(name, traits, ...inside) {
  const made = Object.assign(document.createElement(name), traits);
  made.append(...inside);
  return made;
}

/** A field by name; a form's own properties are hidden by fields of the same name. @param {HTMLFormElement} form @param {string} name */
export function field(form, name) {
  return /** @type {HTMLInputElement | null} */ (form.querySelector(`[name="${CSS.escape(name)}"]`));
}

/** The time of day as it is said in the bay. @param {Date} moment */
export function clock(moment) {
  return moment.toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
}
