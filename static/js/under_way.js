// What takes long says that it is on its way, and for how long: a page that only stands still looks
// as if nothing had been pressed. The words before that stand beside the button without script, too.

function watch(line) {
  const form = line.closest("form");
  const before = line.textContent;
  const clock = document.createElement("span");
  clock.setAttribute("aria-hidden", "true"); // a screen reader is told once
  line.setAttribute("role", "status");
  let [ticking, since] = [0, 0];

  const tick = () => { clock.textContent = ` ${Math.round((performance.now() - since) / 1000)} s`; };

  function rest() {
    clearInterval(ticking);
    line.textContent = before;
  }

  function begin(event) {
    if (event.defaultPrevented) return;
    clearInterval(ticking);
    since = performance.now();
    line.replaceChildren(line.dataset.underWay, clock);
    tick();
    ticking = setInterval(tick, 1000);
  }

  if (form) form.addEventListener("submit", begin);
  else {
    line.previousElementSibling.addEventListener("click", (event) => {
      const aside = event.ctrlKey || event.metaKey || event.shiftKey || event.altKey;
      if (event.target.closest("a") && !aside) begin(event);
    });
  }
  addEventListener("pageshow", ({ persisted }) => persisted && rest()); // come back to
}

document.querySelectorAll("[data-under-way]").forEach(watch);
