// What waits on the phone: kept by the browser until the laptop has it in its log.
"use strict";

const Queue = (() => {
  let opened = null;

  function database() {
    opened ??= new Promise((done, fail) => {
      const asked = indexedDB.open("qlog-phone", 1);
      asked.onupgradeneeded = () => {
        asked.result.createObjectStore("acts", { keyPath: "seq", autoIncrement: true });
        asked.result.createObjectStore("seen", { keyPath: "what" });
      };
      asked.onsuccess = () => done(asked.result);
      asked.onerror = () => fail(asked.error);
    });
    return opened;
  }

  // Answers when the browser has written it to its disk, not before.
  async function write(store, work) {
    const db = await database();
    return new Promise((done, fail) => {
      const change = db.transaction(store, "readwrite", { durability: "strict" });
      const asked = work(change.objectStore(store));
      change.oncomplete = () => done(asked.result);
      change.onerror = change.onabort = () => fail(change.error);
    });
  }

  async function read(store, work) {
    const db = await database();
    return new Promise((done, fail) => {
      const asked = work(db.transaction(store).objectStore(store));
      asked.onsuccess = () => done(asked.result);
      asked.onerror = () => fail(asked.error);
    });
  }

  // A name that nothing else has: 128 bits of chance.
  function name() {
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    return Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");
  }

  return {
    name,
    add: (act) => write("acts", (s) => s.add(act)),
    change: (act) => write("acts", (s) => s.put(act)),
    remove: (seq) => write("acts", (s) => s.delete(seq)),
    all: () => read("acts", (s) => s.getAll()),
    // What was seen last of an operation or the first page, for when the laptop is away.
    keep: (what, value) => write("seen", (s) => s.put({ what, value })),
    kept: async (what) => (await read("seen", (s) => s.get(what)))?.value,
  };
})();
