/* Where entries wait on this phone: IndexedDB, one row an entry, its photo beside its words. */

const NAME = "brieflock-on-set";
const ROWS = "entries";

function open() {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open(NAME, 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore(ROWS, { keyPath: "sentAs" });
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
    asked.onblocked = () => reject(new Error("another tab holds an older store"));
  });
}

async function run(mode, does) {
  const base = await open();
  try {
    return await new Promise((resolve, reject) => {
      const act = base.transaction(ROWS, mode);
      const asked = does(act.objectStore(ROWS));
      // Only once the transaction has ended is it on the disk.
      act.oncomplete = () => resolve(asked.result);
      act.onabort = act.onerror = () => reject(act.error ?? asked.error);
    });
  } finally {
    base.close();
  }
}

export const all = () => run("readonly", (rows) => rows.getAll());
export const put = (entry) => run("readwrite", (rows) => rows.put(entry));
export const remove = (sentAs) => run("readwrite", (rows) => rows.delete(sentAs));
