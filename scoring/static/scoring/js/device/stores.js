// Where a device keeps what it wrote: IndexedDB, else localStorage, else this page's memory.
//
// Each store holds, for one match, `own` (what was written here, by uuid), `ledger` (what the
// club has, by seq) and `meta` (the pen's token). All methods are asynchronous and throw where
// the device refuses, as a full one does.

const NAME = "cushion-ledger";
const PATIENCE = 3000; // ms, for a database that another page holds shut

/** Return the best store this device has; `kinds` names those to try, best first. */
export async function openStore(match, kinds = ["indexeddb", "localstorage", "memory"]) {
  for (const kind of kinds) {
    try {
      return await OPENERS[kind](match);
    } catch {
      // Private windows and locked-down devices refuse; the next kind is tried.
    }
  }
  return new MemoryStore(match);
}

const OPENERS = {
  async indexeddb(match) {
    return new DatabaseStore(match, await openDatabase());
  },
  async localstorage(match) {
    return new TextStore(match, globalThis.localStorage);
  },
  async memory(match) {
    return new MemoryStore(match);
  },
};

function openDatabase() {
  return new Promise((resolve, reject) => {
    const request = globalThis.indexedDB.open(NAME, 1);
    const timer = setTimeout(() => reject(new Error("the database stays shut")), PATIENCE);
    request.onupgradeneeded = () => {
      const database = request.result;
      database.createObjectStore("own", { keyPath: ["match", "uuid"] });
      database.createObjectStore("ledger", { keyPath: ["match", "seq"] });
      database.createObjectStore("meta", { keyPath: "match" });
    };
    request.onerror = () => reject(request.error);
    request.onsuccess = () => {
      clearTimeout(timer);
      request.result.onversionchange = () => request.result.close();
      resolve(request.result);
    };
  });
}

class DatabaseStore {
  lasting = true;

  constructor(match, database) {
    this.match = match;
    this.database = database;
  }

  async load() {
    const transaction = this.database.transaction(["own", "ledger", "meta"]);
    const [own, ledger, meta] = await Promise.all([
      answer(transaction.objectStore("own").getAll(this.#all())),
      answer(transaction.objectStore("ledger").getAll(this.#all())),
      answer(transaction.objectStore("meta").get(this.match)),
    ]);
    const plain = ({ match, ...rest }) => rest;
    return { own: own.map(plain), ledger: ledger.map(plain), meta: meta ? plain(meta) : {} };
  }

  putOwn(records) {
    return this.#write("own", (store) => records.forEach((one) => store.put(this.#keyed(one))));
  }

  putLedger(entries) {
    return this.#write("ledger", (store) => entries.forEach((one) => store.put(this.#keyed(one))));
  }

  replaceLedger(entries) {
    return this.#write("ledger", (store) => {
      store.delete(this.#all());
      entries.forEach((one) => store.put(this.#keyed(one)));
    });
  }

  putMeta(meta) {
    return this.#write("meta", (store) => store.put(this.#keyed(meta)));
  }

  async reopen() {
    this.database.close();
    this.database = await openDatabase();
  }

  close() {
    this.database.close();
  }

  #all() {
    // Whatever follows the match in a key lies below a list.
    return globalThis.IDBKeyRange.bound([this.match], [this.match, []]);
  }

  #keyed(value) {
    return { ...value, match: this.match };
  }

  #write(name, change) {
    return new Promise((resolve, reject) => {
      // Strict: answered once it lies on the disk, so that a flat battery loses nothing.
      const transaction = this.database.transaction(name, "readwrite", { durability: "strict" });
      transaction.oncomplete = () => resolve();
      transaction.onabort = () => reject(transaction.error ?? new Error("the device refused"));
      change(transaction.objectStore(name));
    });
  }
}

function answer(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

/** Holds the match in plain objects, and gives it to `keep` after each change. */
class MemoryStore {
  lasting = false;

  constructor(match) {
    this.match = match;
    this.own = new Map();
    this.ledger = new Map();
    this.meta = {};
  }

  async load() {
    const ledger = [...this.ledger.values()].sort((one, two) => one.seq - two.seq);
    return { own: [...this.own.values()], ledger, meta: this.meta };
  }

  async putOwn(records) {
    this.refresh();
    records.forEach((one) => this.own.set(one.uuid, { ...one }));
    this.keep();
  }

  async putLedger(entries) {
    this.refresh();
    entries.forEach((one) => this.ledger.set(one.seq, one));
    this.keep();
  }

  async replaceLedger(entries) {
    this.refresh();
    this.ledger = new Map(entries.map((one) => [one.seq, one]));
    this.keep();
  }

  async putMeta(meta) {
    this.refresh();
    this.meta = { ...meta };
    this.keep();
  }

  async reopen() {}

  refresh() {}

  keep() {}

  close() {}
}

class TextStore extends MemoryStore {
  lasting = true;

  constructor(match, storage) {
    super(match);
    this.storage = storage;
    this.key = `${NAME}-${match}`;
    storage.setItem(`${NAME}-try`, "1");
    storage.removeItem(`${NAME}-try`);
  }

  async load() {
    this.refresh();
    return super.load();
  }

  // Another page of this device may have written since.
  refresh() {
    const kept = JSON.parse(this.storage.getItem(this.key) ?? '{"own": [], "ledger": [], "meta": {}}');
    this.own = new Map(kept.own.map((one) => [one.uuid, one]));
    this.ledger = new Map(kept.ledger.map((one) => [one.seq, one]));
    this.meta = kept.meta;
  }

  keep() {
    const whole = { own: [...this.own.values()], ledger: [...this.ledger.values()], meta: this.meta };
    this.storage.setItem(this.key, JSON.stringify(whole));
  }
}
