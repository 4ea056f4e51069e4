// The look of this device: light, dark, stage-blue, or as the device asks. A classic script in the
// head, not a module, so that a dark wing never sees a white page first.
(() => {
  const KEY = "loftbook-look";
  const LOOKS = ["light", "dark", "stage-blue", "auto"];
  const root = document.documentElement;
  const given = root.dataset.theme;

  function kept() {
    try {
      const look = localStorage.getItem(KEY);
      return LOOKS.includes(look) ? look : null;
    } catch {
      return null; // storage refused: the look of the page is then the look
    }
  }

  function keep(look) {
    try {
      localStorage.setItem(KEY, look);
    } catch {
      // Not kept for the next page; this page still changes.
    }
  }

  function apply(look) {
    root.dataset.theme = look === "auto" ? "" : (look ?? given);
    const paper = getComputedStyle(root).getPropertyValue("--paper").trim();
    document.querySelector('meta[name="theme-color"]')?.setAttribute("content", paper);
  }

  function offerChoice() {
    for (const box of document.querySelectorAll("[data-look-choice]")) {
      const look = kept() ?? (given || "auto");
      for (const radio of box.querySelectorAll("input")) radio.checked = radio.value === look;
      box.hidden = false;
      box.addEventListener("change", (event) => {
        keep(event.target.value);
        apply(event.target.value);
      });
    }
  }

  apply(kept());
  document.addEventListener("DOMContentLoaded", offerChoice);
  addEventListener("storage", (event) => {
    if (event.key === KEY) apply(kept());
  });
})();
