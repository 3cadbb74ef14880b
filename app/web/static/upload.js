// Photos sent one after the other: what has arrived is in. Without this the form sends all at once.
const WAITS = [1000, 4000, 10000];
const UNSENT = "photos-not-sent";
const sent = new WeakSet();

const element = (name, text = "") => Object.assign(document.createElement(name), { textContent: text });
const pause = (milliseconds) => new Promise((resolve) => setTimeout(resolve, milliseconds));
const left = (count) => `${count} not sent yet; choose them again, those already here are not doubled.`;

function send(form, photo, onProgress) {
  return new Promise((resolve) => {
    const body = new FormData();
    for (const [name, value] of new FormData(form)) if (typeof value === "string") body.append(name, value);
    if (form.dataset.piece) body.append("piece", form.dataset.piece);
    body.append("photo", photo);
    const request = new XMLHttpRequest();
    request.open("POST", form.dataset.upload);
    request.setRequestHeader("X-CSRFToken", form.elements.csrf_token.value);
    request.responseType = "json";
    request.upload.onprogress = (event) => onProgress(event.loaded);
    request.onerror = () => resolve({ broken: "The line is broken." });
    request.onload = () => {
      const { status, response } = request;
      if (!response) resolve({ stop: "That did not go through. Load the page anew, and sign in if asked." });
      else resolve(status === 503 ? { broken: response.refused } : response);
    };
    request.send(body);
  });
}

async function sendPatiently(form, photo, onProgress) {
  let answer = await send(form, photo, onProgress);
  for (const wait of WAITS) {
    if (!answer.broken) break;
    await pause(wait);
    answer = await send(form, photo, onProgress);
  }
  return answer;
}

// True when all are in, false when something is told besides, null when the rest was not sent.
async function sendAll(form, photos, { bar, words, list }) {
  const total = photos.reduce((sum, photo) => sum + photo.size, 0) || 1;
  let bytes = 0;
  const show = (count, more) => {
    bar.value = Math.min(100, Math.floor((100 * (bytes + more)) / total));
    words.textContent = `${count} of ${photos.length}, ${bar.value} %`;
  };
  for (const [index, photo] of photos.entries()) {
    localStorage.setItem(UNSENT, photos.length - index);
    show(index, 0);
    const answer = await sendPatiently(form, photo, (loaded) => show(index, loaded));
    const trouble = answer.broken || answer.stop;
    if (trouble) {
      words.textContent = `${trouble} ${left(photos.length - index)}`;
      return null;
    }
    if (!answer.refused) sent.add(photo);
    const told = answer.refused || answer.already;
    if (told) list.append(element("li", `${photo.name}: ${told}`));
    bytes += photo.size;
  }
  show(photos.length, 0);
  localStorage.removeItem(UNSENT);
  return list.children.length === 0;
}

function improve(form) {
  const seen = { bar: element("progress"), words: element("p"), list: element("ul") };
  Object.assign(seen.bar, { max: 100, hidden: true, ariaLabel: "Photos sent" });
  seen.words.setAttribute("role", "status");
  form.querySelector(".actions").before(seen.bar, seen.words, seen.list);
  const unsent = localStorage.getItem(UNSENT);
  if (unsent) seen.words.textContent = left(unsent);
  localStorage.removeItem(UNSENT);
  form.addEventListener("submit", async (event) => {
    const chosen = [...form.querySelectorAll("[type=file]")].flatMap((box) => [...box.files]);
    if (chosen.length === 0) return;
    event.preventDefault();
    const button = form.querySelector("[type=submit]");
    button.disabled = true;
    seen.bar.hidden = false;
    seen.list.replaceChildren();
    const isWhole = await sendAll(form, chosen.filter((photo) => !sent.has(photo)), seen);
    button.disabled = false;
    if (isWhole) location.assign(form.action);
    if (isWhole !== false) return;
    const way = Object.assign(element("a", "See what is here"), { href: form.action });
    seen.list.appendChild(element("li")).append(way);
  });
}

document.querySelectorAll("form[data-upload]").forEach(improve);
