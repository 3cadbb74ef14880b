// The pocket's page: what waits, what needs the owner, what is sent.
import { all, change, fact, find, remove, renew } from "./pocket-store.js";
import { sendAll } from "./pocket-send.js";
import { close, isOpen, listen, open } from "./pocket-form.js";
import { hand, rescueFile } from "./pocket-spare.js";
import { DAY_MS, age, ago, at, button, hhmm, make, nameOf, words } from "./pocket-words.js";
import "./pocket-worker.js";

const UNDO_MS = 10000;
const KINDS = ["find", "cost", "time"];
const isPocket = location.pathname === "/pocket";
const place = /^\/(?:t|pieces)\/([^/]+)/i.exec(location.pathname);
let home;
let newest = "";

const say = (text) => (at("status").textContent = text);

function view(name, title) {
  for (const id of ["home", "saved", ...KINDS]) at(id).hidden = id !== name;
  at("back").hidden = name === "home";
  at("heading").textContent = title;
  scrollTo(0, 0);
}

async function goHome(event) {
  event?.preventDefault();
  await close();
  view("home", isPocket ? at("back").textContent : words("away"));
  await refresh();
}

async function write(kind, given, existing) {
  if (!(await open(kind, given, existing, saved))) return refresh();
  view(kind, at(`write-${kind}`).textContent);
  offer();
  return at("main").focus();
}

async function saved(row) {
  newest = row.id;
  at("saved-at").textContent = `${words("saved")} ${hhmm()}`;
  at("saved-reference").textContent = row.reference;
  at("saved-tape").hidden = row.capture.kind !== "find";
  view("saved", nameOf(row));
  navigator.storage?.persist?.();
  await send();
}

// What can be tapped instead of typed.
async function offer() {
  const own = (await all()).filter((row) => row.capture.kind === "find" && row.state !== "sent");
  const lists = {
    where: home?.sources.map(({ name }) => name) ?? [],
    tag: [...own.map((row) => [row.reference, nameOf(row)]), ...(home?.pieces ?? [])].map(([tag, name]) => `${tag} ${name}`),
  };
  document.querySelectorAll("[data-offer]").forEach((chips) => {
    const { offer: name } = chips.dataset;
    const box = chips.closest("form").elements[name];
    const take = (one) => {
      box.value = name === "tag" ? one.split(" ")[0] : one;
      box.dispatchEvent(new Event("input", { bubbles: true }));
    };
    const fitting = lists[name].filter((one) => one.toLowerCase().includes(box.value.trim().toLowerCase()));
    chips.replaceChildren(...fitting.slice(0, 6).map((one) => button(one, () => take(one), "chip")));
  });
}

async function letGo(row) {
  await change(row.id, (now) => ({ state: "gone", was: now.state, goneAt: Date.now() }));
  await refresh();
  setTimeout(() => !isOpen() && refresh(), UNDO_MS + 100);
}

function deeds(row) {
  if (row.state === "gone") return [button("Undo", () => change(row.id, (now) => ({ state: now.was })).then(refresh))];
  const { made } = row.trouble ?? row;
  const more = made ? [make("a", `${made.tag || "See it"} at home`, { href: made.href })] : [];
  if (row.state === "sent") return more;
  const edit = button(row.state === "draft" ? "Go on" : "Look or change", () => write(row.capture.kind, null, row));
  const away = button("Let it go", () => letGo(row), "button quiet");
  if (row.trouble?.status === 409) more.push(button(words("renew"), () => renew(row).then(now)));
  return [edit, ...more, away];
}

function item(row) {
  const { reference, photos, state, savedAt, trouble } = row;
  const facts = state === "gone" ? "let go" : `${photos.length ? `photos: ${photos.length}, ` : ""}${ago(savedAt)}`;
  const line = make("p", "", {}, make("strong", reference), ` ${nameOf(row)} `, make("span", facts, { className: "small" }));
  const error = trouble ? [make("p", trouble.detail, { className: "error" })] : [];
  return make("li", "", { className: "stack-small" }, line, ...error, make("div", "", { className: "cluster" }, ...deeds(row)));
}

async function swept() {
  for (const row of await all()) {
    const { what, paid, where, amount, minutes, note } = row.capture;
    const isEmpty = row.state === "draft" && !row.photos.length && !(what || paid || where || amount || minutes || note);
    if (isEmpty || (row.state === "gone" && Date.now() - row.goneAt >= UNDO_MS)) await remove(row);
  }
  return (await all()).sort((a, b) => b.savedAt - a.savedAt);
}

async function refresh(said = "") {
  home = await fact("home");
  if (home) {
    at("shop").textContent = home.shop;
    document.querySelectorAll("[data-currency]").forEach((sign) => sign.textContent = home.currency);
  }
  const rows = isOpen() ? await all() : await swept();
  const groups = { draft: [], refused: [], waiting: [], gone: [], sent: [] };
  rows.forEach((row) => groups[row.state].push(row));
  const { draft, refused, waiting, gone } = groups;
  const oldest = Date.now() - Math.min(Date.now(), ...[...waiting, ...refused].map((row) => row.savedAt));
  const says = [
    refused.length && `Needs you: ${refused.length}.`,
    waiting.length && `${waiting.length} waiting to go home, the oldest ${age(oldest)}.`,
    draft.length && `${draft.length} not finished.`,
  ].filter(Boolean);
  say(`${says.join(" ") || words("home")} ${said}`.trim());
  at("status").className = oldest > 5 * DAY_MS ? "caution" : oldest > 3 * DAY_MS ? "notice is-loss" : "notice";
  at("rescue").hidden = !says.length;
  await test(rows);
  waiting.push(...gone);
  for (const state of ["draft", "refused", "waiting", "sent"]) {
    at(state).hidden = !groups[state].length;
    at(state).querySelector("ul").replaceChildren(...groups[state].map(item));
  }
  await Promise.all([offer(), takeOver()]);
}

function fate(row) {
  if (row?.state === "refused") return `It needs you: ${row.trouble.detail}`;
  return row?.state === "sent" ? `It is home as ${row.made.tag}.`.replace(" as .", ".") : "";
}

async function send(isPressed = false) {
  const outcome = await sendAll(say, send, isPressed);
  const said = outcome === "sent" ? "" : words(outcome);
  at("sign-in").hidden = outcome !== "signed-out";
  at("saved-home").textContent = said || fate(await find(newest));
  await refresh(said);
}

async function test(rows) {
  const { storage, serviceWorker, standalone } = navigator;
  const { quota, usage } = (await storage?.estimate?.()) ?? {};
  const last = Math.max(0, ...rows.map(({ sentAt = 0 }) => sentAt));
  const facts = {
    https: location.protocol === "https:",
    worker: serviceWorker?.controller,
    icon: standalone || matchMedia("(display-mode: standalone)").matches,
    kept: await storage?.persisted?.(),
    free: quota && `${((quota - usage) / 1e9).toFixed(1)} GB`,
    last: last ? ago(last) : "never",
  };
  for (const [name, fact] of Object.entries(facts)) at(`test-${name}`).textContent = fact?.at ? fact : fact ? "yes" : "no";
}

const isIdle = () => !at("home").hidden;

// A newer worker waits until no form is open in any window.
async function takeOver() {
  const waiting = (await navigator.serviceWorker?.getRegistration())?.waiting;
  if (waiting && isIdle()) await navigator.locks?.request("tackcloth-form", { ifAvailable: true }, (lock) => lock && waiting.postMessage("take over"));
}

async function save(share) {
  const { file } = await rescueFile();
  return share ? navigator.share({ files: [file] }) : hand(file);
}

async function sendAgain() {
  const due = ({ state, sentAt }) => state === "sent" && Date.now() - sentAt < 30 * DAY_MS && { state: "waiting" };
  for (const { id } of await all()) await change(id, due);
  await now();
}

const now = () => send(true);

function showPiece() {
  if (!place) return;
  const tag = decodeURIComponent(place[1]).toUpperCase();
  const [, name, stage] = home?.pieces.find(([one]) => one === tag) ?? [tag, words("unknown"), ""];
  at("piece").hidden = false;
  at("piece-name").textContent = `${tag} ${name} ${stage}`;
  for (const kind of ["cost", "time"]) at(`piece-${kind}`).onclick = () => write(kind, { tag });
}

async function start() {
  const had = navigator.serviceWorker?.controller;
  navigator.serviceWorker?.addEventListener("controllerchange", () => had && isIdle() && location.reload());
  listen();
  document.addEventListener("input", () => isOpen() && offer());
  const pressed = { back: goHome, done: goHome, send: now, again: sendAgain, "save-file": () => save(false), share: () => save(true) };
  for (const kind of KINDS) pressed[`write-${kind}`] = () => write(kind);
  for (const [id, deed] of Object.entries(pressed)) at(id).onclick = deed;
  at("share").hidden = !navigator.canShare?.({ files: [new File([], "a.json", { type: "application/json" })] });
  at("unsure").hidden = isSecureContext;
  await goHome();
  showPiece();
  at("unstarted").hidden = true;
  at("away").hidden = isPocket;
  addEventListener("online", now);
  document.addEventListener("visibilitychange", () => !document.hidden && !isOpen() && now());
  await send();
}

start().catch(({ message }) => say(`${words("broken")} ${message}`));
