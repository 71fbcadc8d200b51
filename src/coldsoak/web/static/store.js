/** What this device holds until the shop has it: entries in IndexedDB, on the disk before anything says so. */

/**
 * @typedef {{file: string, type: string, bytes: ArrayBuffer}} KeptFile a photo or log as it was chosen
 * @typedef {object} Entry one form that waits
 * @property {number} [n] place in the order of this device
 * @property {string} id made once, so that sending it twice notes it once
 * @property {string} job what keeps its order: the job's address
 * @property {string} url where it goes
 * @property {string} say the entry in words
 * @property {[string, string | KeptFile][]} fields
 * @property {boolean} multipart
 * @property {string} at when it happened
 * @property {string} by who entered it
 * @property {"waiting" | "refused"} state
 * @property {string} [why] the shop's reason
 */

const ENTRIES = "entries";
const LEASE = "lease";

/** @type {Promise<IDBDatabase> | null} */
let opened = null;

/** @returns {Promise<IDBDatabase>} */
function open() {
  opened ??= new Promise((resolve, reject) => {
    const asked = indexedDB.open("coldsoak", 1);
    asked.onupgradeneeded = () => {
      asked.result.createObjectStore(ENTRIES, { keyPath: "n", autoIncrement: true });
      asked.result.createObjectStore(LEASE);
    };
    asked.onsuccess = () => {
      asked.result.onversionchange = () => asked.result.close();
      asked.result.onclose = () => (opened = null);
      resolve(asked.result);
    };
    asked.onerror = () => reject(asked.error);
    asked.onblocked = () => reject(new Error("blocked"));
  });
  opened.catch(() => (opened = null));
  return opened;
}

/**
 * Do something in one transaction; the answer comes when it is on the disk.
 * @template T
 * @param {string} store @param {IDBTransactionMode} mode
 * @param {(store: IDBObjectStore, answer: (value: T) => void) => void} work
 * @returns {Promise<T>}
 */
async function within(store, mode, work) {
  const db = await open();
  return new Promise((resolve, reject) => {
    const change = db.transaction(store, mode, { durability: "strict" });
    /** @type {any} */
    let found;
    change.oncomplete = () => resolve(found);
    change.onabort = change.onerror = () => reject(change.error);
    work(change.objectStore(store), (value) => (found = value));
  });
}

/** @returns {Promise<Entry[]>} all entries in the order in which they were made */
export const all = () =>
  within(ENTRIES, "readonly", (store, answer) => {
    const asked = store.getAll();
    asked.onsuccess = () => answer(asked.result);
  });

/** @param {Entry} entry */
export const add = (entry) => within(ENTRIES, "readwrite", (store) => void store.add(entry));

/** @param {number} n */
export const remove = (n) => within(ENTRIES, "readwrite", (store) => void store.delete(n));

/**
 * Change an entry, if it is still there.
 * @param {number} n
 * @param {Partial<Entry>} change
 */
export const alter = (n, change) =>
  within(ENTRIES, "readwrite", (store) => {
    const asked = store.get(n);
    asked.onsuccess = () => asked.result && store.put({ ...asked.result, ...change });
  });

/**
 * Take the right to send, for browsers without locks: one page of this device has it until a moment in time.
 * @param {string} owner
 * @param {number} forMs nothing gives it back
 * @returns {Promise<boolean>} whether this page has it now
 */
export const lease = (owner, forMs) =>
  within(LEASE, "readwrite", (store, answer) => {
    const asked = store.get("send");
    asked.onsuccess = () => {
      const now = Date.now();
      const held = asked.result;
      const ours = !held || held.owner === owner || held.until < now || held.until > now + 600_000;
      if (ours && forMs > 0) store.put({ owner, until: now + forMs }, "send");
      if (ours && forMs === 0) store.delete("send");
      answer(ours);
    };
  });

const others = "BroadcastChannel" in globalThis ? new BroadcastChannel("coldsoak-outbox") : null;

/** Tell every page of this device that what is held has changed. @param {string} [why] why it still waits */
export function changed(why) {
  document.dispatchEvent(new CustomEvent("outbox", { detail: why }));
  others?.postMessage(why ?? null);
}

/** @param {(why?: string) => void} listener */
export function whenChanged(listener) {
  document.addEventListener("outbox", (event) => listener(/** @type {CustomEvent} */ (event).detail ?? undefined));
  others?.addEventListener("message", (event) => listener(event.data ?? undefined));
}
