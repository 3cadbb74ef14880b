// The running clock and what dries: the page already says the minutes; this keeps them true while it stays open.
function spoken(minutes) {
  const hours = Math.floor(minutes / 60);
  const rest = minutes % 60;
  const words = hours > 0 ? [`${hours} h`] : [];
  if (rest > 0 || hours === 0) words.push(`${rest} min`);
  return words.join(" ");
}

function tick(face) {
  const started = Date.parse(face.dataset.clockStart);
  if (Number.isNaN(started)) return;
  const minutes = Math.max(0, Math.floor((Date.now() - started) / 60000));
  const text = spoken(minutes);
  if (face.textContent !== text) face.textContent = text;
}

function left(face) {
  const minutes = Math.ceil((Date.parse(face.dataset.clockUntil) - Date.now()) / 60000);
  face.textContent = minutes > 0 ? `in ${spoken(minutes)}` : "ready now";
}

function tickAll() {
  document.querySelectorAll("[data-clock-start]").forEach(tick);
  document.querySelectorAll("[data-clock-until]").forEach(left);
}

tickAll();
setInterval(tickAll, 5000);
document.addEventListener("visibilitychange", () => {
  if (!document.hidden) tickAll();
});
