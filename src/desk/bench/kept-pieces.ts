import type { Piece } from "./protocol.js";

const DATABASE = "dotwright.faults";
const STORE = "pieces";
const RECENT = "dotwright.faults.recent";
/** Circuits whose boards are kept: some megabytes each. */
const MOST_CIRCUITS = 3;

/** What was simulated is kept in the browser, by circuit. Where nothing can be kept, it is simulated again. */
export const keptPieces = { read, write };

async function read(key: string): Promise<readonly Piece[]> {
  try {
    const store = await open("readonly");
    const found = await done(store.getAll(rangeOf(key)) as IDBRequest<Piece[]>);
    if (found.length > 0) await remember(key);
    return found;
  } catch {
    return [];
  }
}

async function write(key: string, piece: Piece): Promise<void> {
  try {
    await remember(key);
    const store = await open("readwrite");
    await done(store.put(piece, `${key} ${piece.from}`));
  } catch {
    return;
  }
}

/** Puts a circuit before all others, and forgets those that come last. */
async function remember(key: string): Promise<void> {
  const known: unknown = JSON.parse(localStorage.getItem(RECENT) ?? "[]");
  const recent = Array.isArray(known) ? known.filter((one) => typeof one === "string" && one !== key) : [];
  const kept = [key, ...recent].slice(0, MOST_CIRCUITS);
  localStorage.setItem(RECENT, JSON.stringify(kept));
  for (const old of recent.slice(MOST_CIRCUITS - 1)) {
    const store = await open("readwrite");
    await done(store.delete(rangeOf(String(old))));
  }
}

function rangeOf(key: string): IDBKeyRange {
  return IDBKeyRange.bound(`${key} `, `${key} \uFFFF`);
}

async function open(mode: IDBTransactionMode): Promise<IDBObjectStore> {
  const request = indexedDB.open(DATABASE, 1);
  request.addEventListener("upgradeneeded", () => request.result.createObjectStore(STORE));
  const database = await done(request);
  const transaction = database.transaction(STORE, mode);
  // Only closed once what was begun is done.
  database.close();
  return transaction.objectStore(STORE);
}

function done<T>(request: IDBRequest<T>): Promise<T> {
  return new Promise((resolve, reject) => {
    request.addEventListener("success", () => resolve(request.result));
    request.addEventListener("error", () => reject(request.error ?? new Error("nothing can be kept")));
  });
}
