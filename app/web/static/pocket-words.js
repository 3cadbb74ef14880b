// Small words and nodes that the pocket's scripts share.
export const DAY_MS = 24 * 60 * 60 * 1000;

export const at = (id) => document.getElementById(id);

// A sentence that stands on the page.
export const words = (name) => at(`say-${name}`).textContent;

export function make(tag, text = "", facts = {}, ...inside) {
  const node = Object.assign(document.createElement(tag), facts);
  node.append(...(text ? [text] : []), ...inside);
  return node;
}

export function button(text, pressed, className = "button") {
  return make("button", text, { type: "button", className, onclick: pressed });
}

const local = (moment) => new Date(moment - new Date(moment).getTimezoneOffset() * 60000).toISOString();

export const hhmm = (moment = Date.now()) => local(moment).slice(11, 16);
export const day = (moment) => local(moment).slice(0, 10);

// RFC 3339 with the phone's own offset.
export function stamp(moment) {
  const offset = -new Date(moment).getTimezoneOffset();
  const zone = new Date(Math.abs(offset) * 60000).toISOString().slice(11, 16);
  return `${local(moment).slice(0, 19)}${offset < 0 ? "-" : "+"}${zone}`;
}

export function age(ms) {
  if (ms < 90 * 60000) return `${Math.max(1, Math.round(ms / 60000))} min`;
  return ms < 2 * DAY_MS ? `${Math.round(ms / 3600000)} h` : `${Math.floor(ms / DAY_MS)} days`;
}

export const ago = (moment) => `${age(Date.now() - moment)} ago`;

export function nameOf({ capture: { kind, what, amount = "", minutes = "?", tag } }) {
  if (kind === "find") return what || "A find";
  return `${kind === "cost" ? `Cost ${amount}` : `${minutes} min`}, ${tag || "the shop"}`;
}
