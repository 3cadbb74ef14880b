// A tap is answered at once, whatever the network does, and a second tap sends nothing twice.
const place = document.querySelector(".notice-place");
const PATIENCE = 8000;

function say(words) {
  place?.replaceChildren(Object.assign(document.createElement("p"), { className: "notice", textContent: words }));
}

function rest(form) {
  delete form.dataset.sent;
  form.querySelectorAll("[aria-busy]").forEach((button) => button.removeAttribute("aria-busy"));
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (event.defaultPrevented) return;
  if (form.dataset.sent) return event.preventDefault();
  // Other forms only ask for a page; those that make a file say how long it takes.
  const words = form.method === "post" ? "Saving…" : form.dataset.slow;
  if (!words) return;
  form.dataset.sent = "yes";
  event.submitter?.setAttribute("aria-busy", "true");
  say(words);
  // Who pressed Stop must be able to go on.
  setTimeout(() => rest(form), PATIENCE);
});

// Back shows the page as it was left.
addEventListener("pageshow", (event) => {
  if (!event.persisted) return;
  document.querySelectorAll("form[data-sent]").forEach(rest);
  place?.replaceChildren();
});
