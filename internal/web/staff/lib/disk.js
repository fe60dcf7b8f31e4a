// What the tablet itself keeps: what was made here and is not on the server
// yet, drafts, and what was read of jobs. One IndexedDB database; nothing that
// signs anybody in.
//
// A transaction is strict: it counts once the bytes are with the disk, and
// only `oncomplete` says so. Nothing but the database is waited for inside one,
// or the browser would close it half done.

/** @typedef {"made" | "pictures" | "drafts" | "kept" | "notes"} Shelf */
/** @typedef {(shelf: Shelf) => IDBObjectStore} Shelves */

/** @type {Shelf[]} */
const shelves = ["made", "pictures", "drafts", "kept", "notes"];

/** @type {Promise<IDBDatabase> | null} */
let opened = null;

/** @returns {Promise<IDBDatabase>} */
function open() {
  opened ??= new Promise((resolve, reject) => {
    const asked = indexedDB.open("benchtag", 1);
    asked.onupgradeneeded = () => {
      for (const shelf of shelves) asked.result.createObjectStore(shelf, shelf === "kept" || shelf === "notes" ? {} : { keyPath: "id" });
    };
    asked.onsuccess = () => {
      const db = asked.result;
      // Another window may need a newer form: let it, and open again when asked.
      db.onversionchange = () => { db.close(); opened = null; };
      db.onclose = () => { opened = null; };
      resolve(db);
    };
    asked.onerror = () => reject(asked.error);
    asked.onblocked = () => reject(new Error("another window holds an older form of the store"));
  });
  opened.catch(() => { opened = null; });
  return opened;
}

/** Runs work in one transaction and gives its result once that is on the disk.
 * Whatever aborts it (a full disk, too) means that nothing was stored.
 * @template T
 * @param {Shelf[]} names @param {(at: Shelves) => T | Promise<T>} work
 * @returns {Promise<T>} */
export async function write(names, work) {
  return await within(await open(), names, "readwrite", work);
}

/** Reads in one transaction.
 * @template T
 * @param {Shelf[]} names @param {(at: Shelves) => T | Promise<T>} work
 * @returns {Promise<T>} */
export async function look(names, work) {
  return await within(await open(), names, "readonly", work);
}

/** @template T
 * @param {IDBDatabase} db @param {Shelf[]} names @param {IDBTransactionMode} mode @param {(at: Shelves) => T | Promise<T>} work
 * @returns {Promise<T>} */
function within(db, names, mode, work) {
  return new Promise((resolve, reject) => {
    const turn = db.transaction(names, mode, { durability: mode === "readwrite" ? "strict" : "default" });
    /** @type {T} */
    let result;
    turn.oncomplete = () => resolve(result);
    turn.onabort = () => reject(turn.error ?? new DOMException("the store refused", "AbortError"));
    Promise.resolve(work((shelf) => turn.objectStore(shelf))).then((value) => { result = value; }, (why) => {
      reject(why);
      try { turn.abort(); } catch { /* it is over already */ }
    });
  });
}

/** Waits for one request of a transaction.
 * @template T @param {IDBRequest<T>} request @returns {Promise<T>} */
export function got(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

/** Asks the browser not to clear this store by itself; null where it will not say.
 * @returns {Promise<boolean | null>} */
export async function persist() {
  if (!navigator.storage?.persist) return null;
  return (await navigator.storage.persisted()) || (await navigator.storage.persist());
}
