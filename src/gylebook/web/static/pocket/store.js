/* What this phone keeps, in the browser's own database: the book's document, the entries that wait, and what the book
   said of those that it took. Nothing here needs a page, so that the worker can use it as well. */
export const VERSION = 3;
export const nameFor = (root) => `gylebook-pocket ${root}`;

/* 1: outbox and kept. 2: what the book said (told), and each waiting entry knows its book, its person and its tries.
   3: an entry may correct another; an older page or worker would send it as a new one, so they must not open this. */
const upgrade = (db, transaction, from) => {
  if (from < 1) {
    db.createObjectStore("outbox", { keyPath: "order", autoIncrement: true }).createIndex("id", "id", { unique: true });
    db.createObjectStore("kept");
  }
  if (from < 2) {
    db.createObjectStore("told", { keyPath: "order", autoIncrement: true });
    if (from < 1) return;
    const cursor = transaction.objectStore("outbox").openCursor();
    cursor.onsuccess = () => {
      const found = cursor.result;
      if (!found) return;
      found.update({ book: "", person: "", tried: 1, state: "waiting", confirmed: [], ...found.value });
      found.continue();
    };
  }
};

export const promised = (request) => new Promise((done, failed) => {
  request.onsuccess = () => done(request.result);
  request.onerror = () => failed(request.error);
});

export class Store {
  constructor(db) {
    this.db = db;
    this.shut = false;
    // A newer page wants to change the stores: this one lets go, and works on once it is loaded again.
    db.onversionchange = () => { db.close(); this.shut = true; this.onshut?.(); };
    db.onclose = () => { this.shut = true; this.onshut?.(); };
  }

  static open(root, blocked = () => {}) {
    return new Promise((done, failed) => {
      const request = indexedDB.open(nameFor(root), VERSION);
      request.onupgradeneeded = (event) => upgrade(request.result, request.transaction, event.oldVersion);
      request.onblocked = blocked;
      request.onerror = () => failed(request.error);
      request.onsuccess = () => done(new Store(request.result));
    });
  }

  /* One transaction; it is over, and on the disk, when this resolves. `work(stores)` may return a request's promise. */
  async #within(names, mode, work) {
    const transaction = this.db.transaction(names, mode, { durability: "strict" });
    const over = new Promise((done, failed) => {
      transaction.oncomplete = done;
      transaction.onabort = () => failed(transaction.error ?? new DOMException("stopped", "AbortError"));
    });
    over.catch(() => {});
    let found;
    try {
      found = await work(...names.map((name) => transaction.objectStore(name)));
    } catch (fault) {
      try { transaction.abort(); } catch { /* it has stopped by itself */ }
      await over.catch((stopped) => { throw stopped?.name === "AbortError" ? fault : stopped; });
      throw fault;
    }
    await over;
    return found;
  }
  read(names, work) { return this.#within(names, "readonly", work); }
  write(names, work) { return this.#within(names, "readwrite", work); }

  get(key) { return this.read(["kept"], (kept) => promised(kept.get(key))); }
  put(key, value) { return this.write(["kept"], (kept) => promised(kept.put(value, key))); }

  /* The order is a counter that never goes back, whatever the clock does. */
  add(entry) { return this.write(["outbox"], (outbox) => promised(outbox.add(entry))); }
  entries() { return this.read(["outbox"], (outbox) => promised(outbox.getAll())); }
  told() { return this.read(["told"], (told) => promised(told.getAll())); }
  count() { return this.read(["outbox"], (outbox) => promised(outbox.count())); }

  /* Change one entry if it is still there as `fits` wants it; the changed entry, or null. */
  change(order, fits, changed) {
    return this.write(["outbox"], async (outbox) => {
      const found = await promised(outbox.get(order));
      if (!found || !fits(found)) return null;
      const after = changed(found);
      await promised(after ? outbox.put(after) : outbox.delete(order));
      return after ?? found;
    });
  }
  forgetTold(order) { return this.write(["told"], (told) => promised(told.delete(order))); }

  /* Everything of a person's goes; entries that wait only where that is said. */
  clear({ entries }) {
    const names = entries ? ["kept", "told", "outbox"] : ["kept", "told"];
    return this.write(names, (...stores) => Promise.all(stores.map((store) => promised(store.clear()))));
  }
}
