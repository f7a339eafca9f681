// Keeps things in the browser's database, on the disk.

const asked = (request) => new Promise((resolve, reject) => {
  request.onsuccess = () => resolve(request.result);
  request.onerror = () => reject(request.error);
});

/**
 * Opens a database at first use. Returns a function that does one thing in one of
 * its stores, and waits until it is on the disk.
 */
export function keeper(name, make) {
  let opened;
  const open = () => new Promise((resolve, reject) => {
    const request = indexedDB.open(name, 1);
    request.onupgradeneeded = () => make(request.result);
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
  return async function within(store, mode, act) {
    opened ??= open();
    const t = (await opened).transaction(store, mode, { durability: "strict" });
    const done = new Promise((resolve, reject) => {
      t.oncomplete = resolve;
      t.onabort = () => reject(t.error);
    });
    const [result] = await Promise.all([asked(act(t.objectStore(store))), done]);
    return result;
  };
}

/** An id for what is sent. Plain HTTP has getRandomValues and no randomUUID. */
export const fresh = () => Array.from(crypto.getRandomValues(new Uint8Array(16)),
  (b) => b.toString(16).padStart(2, "0")).join("");
