// The three forms: every keystroke is kept as a draft, Save lets it go home.
import { Refusal, addPhoto, change, dropPhoto, find, keep, newName, photoOf } from "./pocket-store.js";
import { at, button, day, hhmm, make, stamp, words } from "./pocket-words.js";

const DRAFT_MS = 250;
const FIGURES = /^\D{0,2}\d[\d.,:\s]*\D{0,4}$/;

let row = null;
let form;
let chain = Promise.resolve();
let taking = chain;
let timer = 0;
let isTouched = false;
let release = () => {};

export const isOpen = () => row !== null;

const say = (text) => (form.querySelector("output").textContent = text);
const sayKept = () => say(`Draft kept ${hhmm()}`);

// The browser would not keep it: offer what was typed to be copied.
function fail({ capture }) {
  say("");
  at("lost").hidden = false;
  at("lost-text").value = JSON.stringify(capture, null, 1);
}

// One write after the other: an older one never lands last.
function queue(deed, mine = row) {
  chain = chain.then(deed).then(() => true, (trouble) => {
    if (trouble instanceof Refusal) wrong("photos", trouble.message);
    else if (mine) fail(mine);
    return false;
  });
  return chain;
}

function read() {
  clearTimeout(timer);
  timer = 0;
  for (const [name, value] of new FormData(form)) row.capture[name] = value.trim();
}

function draft() {
  if (!isOpen()) return;
  const mine = row;
  read();
  queue(() => keep(mine)).then((kept) => kept && row === mine && sayKept());
}

function wrong(name, text) {
  const note = form.querySelector(`[data-error="${name}"]:not(:disabled *)`) ?? form.querySelector('[data-error="all"]');
  note.textContent = text;
  note.hidden = !text;
  const field = note.closest(".field");
  field?.classList.toggle("is-wrong", Boolean(text));
  field?.querySelector(".box")?.[text ? "setAttribute" : "removeAttribute"]("aria-invalid", "true");
}

// What the phone can tell; the rest is for home to say.
function troubles({ kind, what, paid, amount, cost_kind, minutes, activity }) {
  return {
    find: [["what", what || row.photos.length], ["paid", !paid || FIGURES.test(paid)]],
    cost: [["amount", FIGURES.test(amount)], ["cost_kind", cost_kind]],
    time: [["minutes", FIGURES.test(minutes)], ["activity", activity]],
  }[kind].filter(([, isRight]) => !isRight).map(([field]) => ({ field, detail: words(field) }));
}

function showTroubles(found) {
  form.querySelectorAll("[data-error]").forEach((note) => wrong(note.dataset.error, ""));
  found.forEach(({ field, detail }) => wrong(field, detail));
  form.querySelector(".is-wrong :is(input, textarea)")?.focus();
}

async function showPhotos() {
  const mine = row;
  const items = await Promise.all(mine.photos.map(async ({ sha256 }, place) => {
    const src = URL.createObjectURL(new Blob([(await photoOf(mine.id, sha256))?.bytes ?? ""]));
    const picture = make("img", "", { src, alt: `Photo ${place + 1}`, width: 88, height: 88, onload: () => URL.revokeObjectURL(src) });
    const drop = () => {
      isTouched = true;
      queue(() => dropPhoto(mine, sha256)).then(showPhotos);
    };
    return make("li", "", {}, picture, button("Remove", drop, "button quiet"));
  }));
  if (row === mine) form.querySelector(".pocket-photos")?.replaceChildren(...items);
}

async function take(input) {
  const mine = row;
  const files = [...input.files];
  wrong("photos", "");
  for (const [place, file] of files.entries()) {
    say(`Taking in photo ${place + 1} of ${files.length}`);
    if (!(await queue(() => addPhoto(mine, file)))) break;
  }
  input.value = "";
  if (row !== mine) return;
  await showPhotos();
  sayKept();
}

function fit() {
  const isShop = !form.elements.tag?.value.trim();
  form.querySelectorAll("[data-for]").forEach((group) => {
    group.hidden = group.disabled = (group.dataset.for === "shop") !== isShop;
  });
}

function fill() {
  form.reset();
  for (const [name, value] of Object.entries(row.capture)) {
    if (form.elements[name]) form.elements[name].value = value;
  }
  fit();
  form.querySelectorAll("[data-photos]").forEach((place) => (place.hidden = !crypto.subtle));
  showTroubles(row.trouble?.errors ?? []);
  if (row.trouble) wrong("all", row.trouble.detail);
  say("");
}

async function begin(kind, given) {
  const now = Date.now();
  const capture = { kind, captured_at: stamp(now), on_date: day(now), ...given };
  return { ...(await newName(kind)), state: "draft", capture, photos: [], savedAt: now, edition: 0, trouble: null };
}

// What is looked at is not sent; unchanged, it goes back as it was.
async function takeUp(id) {
  await change(id, (now) => now.state !== "sent" && { state: "draft", was: now.state });
  const found = await find(id);
  return found.state === "draft" ? found : null;
}

// Open a new capture or one that is here; false when that went home meanwhile.
export async function open(kind, given, existing, whenSaved) {
  row = existing ? await takeUp(existing.id) : await begin(kind, given);
  if (!row) return false;
  isTouched = !existing;
  form = document.querySelector(`form[data-kind="${row.capture.kind}"]`);
  form.onsubmit = (event) => {
    event.preventDefault();
    save(whenSaved);
  };
  fill();
  navigator.locks?.request("tackcloth-form", { mode: "shared" }, () => new Promise((done) => (release = done)));
  if (isTouched) queue(() => keep(row));
  await showPhotos();
  return true;
}

async function save(whenSaved) {
  const mine = row;
  await taking;
  if (row !== mine) return;
  read();
  const found = troubles(mine.capture);
  showTroubles(found);
  if (found.length) return;
  const saved = await queue(() => keep(mine, { state: "waiting", trouble: null }));
  if (!saved || row !== mine) return;
  isTouched = true;
  close();
  whenSaved(mine);
}

export async function close() {
  if (timer) draft();
  const left = row;
  row = null;
  at("lost").hidden = true;
  release();
  await chain;
  if (left && !isTouched) await change(left.id, (now) => ({ state: now.was }));
}

export function listen() {
  document.addEventListener("input", ({ target }) => {
    if (!isOpen() || target.form !== form) return;
    isTouched = true;
    if (!row.trouble) showTroubles([]);
    fit();
    if (target.type === "file") taking = Promise.all([taking, take(target)]);
    else timer ||= setTimeout(draft, DRAFT_MS);
  });
  document.addEventListener("visibilitychange", () => {
    if (document.hidden && timer) draft();
  });
}
