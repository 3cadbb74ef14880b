// The outbox: captures, photos byte by byte, facts from home. What is written is read back.
import { DAY_MS, words } from "./pocket-words.js";

// A later version only adds: a page from before finds what it knows. The spare page may have made an empty 1.
const VERSION = 2;
const STORES = { captures: "id", photos: "key", facts: "name" };
const TRIES = 3;
const SYMBOLS = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ";
const MB = 1024 * 1024;

export class Refusal extends Error {}

let opened;

function ask(version) {
  return new Promise((done, fail) => {
    const request = indexedDB.open("tackcloth", version);
    request.onupgradeneeded = () => {
      const db = request.result;
      for (const [store, keyPath] of Object.entries(STORES)) {
        if (!db.objectStoreNames.contains(store)) db.createObjectStore(store, { keyPath });
      }
    };
    request.onsuccess = () => done(request.result);
    request.onerror = () => fail(request.error);
  });
}

async function open() {
  const db = await ask(VERSION).catch((trouble) => {
    // A newer page has been here: what it added does not hurt this one.
    if (trouble.name === "VersionError") return ask();
    throw trouble;
  });
  db.onclose = db.onversionchange = () => {
    opened = null;
    db.close();
  };
  return db;
}

function run(db, mode, deed) {
  return new Promise((done, fail) => {
    const transaction = db.transaction(Object.keys(STORES), mode, { durability: "strict" });
    const request = deed((store) => transaction.objectStore(store));
    transaction.oncomplete = () => done(request?.result);
    transaction.onabort = () => fail(transaction.error ?? new Error("the write was cut off"));
  });
}

async function work(mode, deed) {
  for (let tries = 1; ; tries += 1) {
    try {
      opened ??= open();
      return await run(await opened, mode, deed);
    } catch (trouble) {
      opened = null;
      if (tries > TRIES || trouble.name === "QuotaExceededError") throw trouble;
      await new Promise((done) => setTimeout(done, 50 * tries));
    }
  }
}

const read = (deed) => work("readonly", deed);
const write = (deed) => work("readwrite", deed);

export const all = () => read((store) => store("captures").getAll());
const get = (name, key) => read((store) => store(name).get(key));
export const find = (id) => get("captures", id);
export const photoOf = (id, sha256) => get("photos", `${id}/${sha256}`);
export const fact = async (name) => (await get("facts", name))?.value;
export const setFact = (name, value) => write((store) => store("facts").put({ name, value }));

const hex = (bytes) => Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
const hashOf = async (bytes) => hex(new Uint8Array(await crypto.subtle.digest("SHA-256", bytes)));

// A random UUID; a browser gives its own over https alone.
function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  return hex(bytes).replace(/^(.{8})(.{4})(.{4})(.{4})/, "$1-$2-$3-$4-");
}

// A new id with its reference: four symbols of its first bits, five where four are taken.
export async function newName(kind) {
  const id = newId();
  const bits = parseInt(id.replace("-", "").slice(0, 7), 16);
  const symbols = [23, 18, 13, 8, 3].map((shift) => SYMBOLS[(bits >>> shift) & 31]).join("");
  const long = `${kind[0].toUpperCase()}-${symbols}`;
  const short = long.slice(0, -1);
  const rows = await all().catch(() => []);
  return { id, reference: rows.some((row) => row.reference === short) ? long : short };
}

// Write a capture with its changes, its new photos and the keys to drop, in one step.
export async function keep(row, facts = {}, photos = [], drops = []) {
  const whole = structuredClone({ ...row, ...facts, edition: row.edition + 1 });
  await write((store) => {
    store("captures").put(whole);
    photos.forEach((photo) => store("photos").put(photo));
    drops.forEach((key) => store("photos").delete(key));
  });
  const found = await find(row.id);
  if (JSON.stringify(found) !== JSON.stringify(whole)) throw new Error("it does not read back the same");
  Object.assign(row, whole);
}

// Change a capture in one step; `alter` gives what changes, or nothing to leave it.
export function change(id, alter) {
  return write((store) => {
    store("captures").get(id).onsuccess = ({ target: { result: row } }) => {
      const facts = row && alter(row);
      if (facts) store("captures").put({ ...row, ...facts, edition: row.edition + 1 });
    };
  });
}

async function requireRoom({ size }) {
  if (size > 25 * MB) throw new Refusal(words("large"));
  const photos = (await all()).flatMap((row) => (row.state === "sent" ? [] : row.photos));
  const bytes = photos.reduce((sum, photo) => sum + photo.bytes, size);
  if (bytes > 300 * MB || photos.length >= 200) throw new Refusal(words("many"));
  const { quota = Infinity, usage = 0 } = (await navigator.storage?.estimate?.()) ?? {};
  if (quota - usage < 2 * size) throw new Refusal(words("room"));
}

// Take a photo in, untouched, together with the row that names it.
export async function addPhoto(row, file) {
  await requireRoom(file);
  const bytes = await file.arrayBuffer();
  const sha256 = await hashOf(bytes);
  if (row.photos.some((photo) => photo.sha256 === sha256)) return;
  const photo = { sha256, bytes: bytes.byteLength, name: file.name.slice(-200) };
  await keep(row, { photos: [...row.photos, photo] }, [{ key: `${row.id}/${sha256}`, bytes }]);
  const found = await photoOf(row.id, sha256);
  if (found && (await hashOf(found.bytes)) === sha256) return;
  await dropPhoto(row, sha256);
  throw new Refusal(words("unread"));
}

export const dropPhoto = (row, sha256) =>
  keep(row, { photos: row.photos.filter((photo) => photo.sha256 !== sha256) }, [], [`${row.id}/${sha256}`]);

// Remove a capture unless it was changed since it was looked at, and do `more` in the same step.
export function remove({ id, photos, edition }, more) {
  return write((store) => {
    store("captures").get(id).onsuccess = ({ target: { result: now } }) => {
      if (now?.edition !== edition) return;
      store("captures").delete(id);
      photos.forEach(({ sha256 }) => store("photos").delete(`${id}/${sha256}`));
      more?.(store);
    };
  });
}

// The same content under a new id, where the old one is taken at home.
export async function renew(row) {
  const fresh = { ...row, ...(await newName(row.capture.kind)), state: "waiting", trouble: null };
  const photos = await Promise.all(row.photos.map(({ sha256 }) => photoOf(row.id, sha256)));
  await remove(row, (store) => {
    store("captures").put(fresh);
    photos.forEach((photo) => store("photos").put({ ...photo, key: photo.key.replace(row.id, fresh.id) }));
  });
}

// Sent copies go after a week once home has a later backup, and after 60 days.
export async function clearSent(backedUpAt) {
  for (const row of await all()) {
    const days = row.state === "sent" ? (Date.now() - row.sentAt) / DAY_MS : 0;
    if (days > 60 || (days > 7 && Date.parse(backedUpAt) > row.sentAt)) await remove(row);
  }
}
