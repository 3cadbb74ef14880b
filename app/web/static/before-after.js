// Before and after: lays the two pictures over each other and lets the slider say how much of each is seen.
function lay(figure) {
  const [before, after] = figure.querySelectorAll("div");
  const slider = figure.querySelector("input");
  const show = () => {
    before.style.clipPath = `inset(0 ${100 - slider.value}% 0 0)`;
    after.style.clipPath = `inset(0 0 0 ${slider.value}%)`;
  };
  figure.classList.add("pair-over");
  slider.hidden = false;
  slider.oninput = show;
  show();
}

document.querySelectorAll(".pair").forEach(lay);
