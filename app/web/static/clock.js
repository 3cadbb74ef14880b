// Keeps the minutes that the page says true while it stays open.
function spoken(minutes) {
  const hours = Math.floor(minutes / 60);
  const rest = minutes % 60;
  return [hours && `${hours} h`, (rest || !hours) && `${rest} min`].filter(Boolean).join(" ");
}

const minutesTo = (moment) => Math.ceil((Date.parse(moment) - Date.now()) / 60000);

function tick(face) {
  face.textContent = spoken(Math.max(0, -minutesTo(face.dataset.clockStart)));
}

function left(face) {
  const minutes = minutesTo(face.dataset.clockUntil);
  face.textContent = minutes > 0 ? `in ${spoken(minutes)}` : "ready now";
}

function tickAll() {
  document.querySelectorAll("[data-clock-start]").forEach(tick);
  document.querySelectorAll("[data-clock-until]").forEach(left);
}

tickAll();
setInterval(tickAll, 5000);
document.addEventListener("visibilitychange", tickAll);
