// Takes what waits on the phone home: one tab at a time, oldest first, each step safe to repeat.
import { all, change, clearSent, find, photoOf, setFact } from "./pocket-store.js";
import { words } from "./pocket-words.js";

const WAITS_S = [5, 15, 60, 300];
const PARKS = [400, 409, 413, 415, 422];
const STOPS = { 401: "signed-out", 503: "busy", 507: "full" };

let timer = 0;
let step = 0;

async function ask(path, patience, options = {}) {
  const answer = await fetch(path, { cache: "no-store", redirect: "error", signal: AbortSignal.timeout?.(patience), ...options });
  const told = /json/.test(answer.headers.get("Content-Type")) ? await answer.json() : null;
  return { status: answer.status, told };
}

const put = (path, body, patience = 30000) => ask(path, patience, { method: "PUT", body });
const putJson = (path, told) => put(path, new Blob([JSON.stringify(told)], { type: "application/json" }));

// Finds first, oldest first; what names a find that is still here waits for it.
function inOrder(rows) {
  const isFind = (row) => row.capture.kind === "find";
  const isHere = (row) => row.state !== "sent" && row.state !== "gone";
  const away = new Set(rows.filter((row) => isFind(row) && isHere(row)).map((row) => row.reference));
  const due = rows.filter((row) => row.state === "waiting");
  due.sort((a, b) => isFind(b) - isFind(a) || a.savedAt - b.savedAt);
  return { due, away };
}

// What was changed on its way, or cannot be noted, is sent again.
const settle = (row, facts) => change(row.id, (now) => now.edition === row.edition && facts).then(() => 0, () => 0);

function park(row, status, told) {
  const { detail = words("unfit"), errors = [], made } = told ?? {};
  return settle(row, { state: "refused", trouble: { status, detail, errors, made } });
}

function isHome(row, { status, told }) {
  const isEntered = (status === 200 || status === 201) && told?.state === "home" && told.id === row.id;
  return isEntered && row.photos.every(({ sha256 }) => told.photos.includes(sha256));
}

async function sendPhoto({ id }, sha256) {
  const photo = await photoOf(id, sha256);
  if (!photo) return { status: 422, told: { detail: words("photo-gone") } };
  return put(`/captures/${id}/photos/${sha256}`, photo.bytes, 300000);
}

// Send one; 0 when it is settled, else the status that stands in its way.
async function sendOne(row) {
  const { id, reference, capture, photos } = row;
  for (let turn = 0; turn < 3; turn += 1) {
    const answer = await putJson(`/captures/${id}`, { ...capture, reference, photos });
    const { status, told } = answer;
    if (isHome(row, answer)) {
      return settle(row, { state: "sent", sentAt: Date.parse(told.received_at), made: told.made, trouble: null });
    }
    if (PARKS.includes(status)) return park(row, status, told);
    if (status !== 202) return status;
    for (const sha256 of told.missing) {
      const { status: said, told: why } = await sendPhoto(row, sha256);
      if (PARKS.includes(said)) return park(row, said, why);
      if (said !== 204 && said !== 404) return said;
    }
  }
  return 202;
}

async function sendWaiting(tell) {
  const { due, away } = inOrder(await all());
  let outcome = "sent";
  for (const [place, { id }] of due.entries()) {
    const row = await find(id);
    if (row?.state !== "waiting" || away.has(row.capture.tag?.toUpperCase())) continue;
    tell(`Sending ${place + 1} of ${due.length}`);
    const status = await sendOne(row);
    if (STOPS[status]) return STOPS[status];
    if (status) outcome = "busy";
    else if ((await find(id)).state === "sent") away.delete(row.reference);
  }
  return outcome;
}

async function report() {
  const left = (await all()).filter((row) => row.state === "waiting" || row.state === "refused");
  const oldest = left.length ? new Date(Math.min(...left.map((row) => row.savedAt))) : null;
  await putJson("/pocket/waiting", { waiting: left.length, oldest });
  const { status, told } = await ask("/settings/safekeeping/latest", 5000);
  if (status === 200) await clearSent(told.backed_up_at);
}

async function round(tell) {
  const { status, told } = await ask("/pocket/home", 3000);
  if (status === 401) return "signed-out";
  if (status !== 200 || !told?.pieces) return "silent";
  await setFact("home", told).catch(() => {});
  const outcome = await sendWaiting(tell);
  await report().catch(() => {});
  return outcome;
}

// Over plain http there are no locks; two tabs may send the same then, and home enters it once.
async function alone(deed) {
  const locked = (lock) => (lock ? deed() : "elsewhere");
  return navigator.locks?.request("tackcloth-send", { ifAvailable: true }, locked) ?? deed();
}

// Send all that waits; tells how it went: sent, signed-out, silent, busy, full, elsewhere.
export async function sendAll(tell, again, isPressed) {
  clearTimeout(timer);
  if (isPressed) step = 0;
  const outcome = await alone(() => round(tell)).catch(() => "silent");
  const isLeft = (await all()).some((row) => row.state === "waiting");
  if (isLeft && outcome !== "signed-out") {
    timer = setTimeout(again, WAITS_S[step] * 1000 * (0.75 + Math.random() / 2));
    step = Math.min(step + 1, WAITS_S.length - 1);
  }
  return outcome;
}
