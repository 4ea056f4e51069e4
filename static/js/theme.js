// What this device is told once and keeps: its look (light, dark, stage-blue, or as the device
// asks), the hand that holds it, and whether it sounds (static/js/phone/signals.js). A classic script in the head, not a module, so that a dark wing
// never sees a white page first.
(() => {
  const root = document.documentElement;
  const given = root.dataset.theme;
  const CHOICES = {
    look: { key: "loftbook-look", values: ["light", "dark", "stage-blue", "auto"], start: given || "auto", apply: applyLook },
    hand: { key: "loftbook-hand", values: ["right", "left"], start: "right", apply: applyHand },
    sound: { key: "loftbook-sound", values: ["silent", "tones"], start: "silent", apply: () => {} },
  };

  function kept({ key, values }) {
    try {
      const value = localStorage.getItem(key);
      return values.includes(value) ? value : null;
    } catch {
      return null; // storage refused: the look of the page is then the look
    }
  }

  function keep({ key }, value) {
    try {
      localStorage.setItem(key, value);
    } catch {
      // Not kept for the next page; this page still changes.
    }
  }

  function applyLook(look) {
    root.dataset.theme = look === "auto" ? "" : (look ?? given);
    if (document.readyState === "complete") tint();
  }

  // The bar of the browser in the colour of the page. Not before the page is there: to ask for a
  // colour makes the browser work out the whole style first.
  function tint() {
    const paper = getComputedStyle(root).getPropertyValue("--paper").trim();
    document.querySelector('meta[name="theme-color"]')?.setAttribute("content", paper);
  }

  function applyHand(hand) {
    root.dataset.hand = hand ?? "right";
  }

  function offer(name, choice) {
    for (const box of document.querySelectorAll(`[data-${name}-choice]`)) {
      const chosen = kept(choice) ?? choice.start;
      for (const radio of box.querySelectorAll("input")) radio.checked = radio.value === chosen;
      box.hidden = false;
      box.addEventListener("change", (event) => {
        keep(choice, event.target.value);
        choice.apply(event.target.value);
      });
    }
  }

  for (const choice of Object.values(CHOICES)) choice.apply(kept(choice));
  document.addEventListener("DOMContentLoaded", () => Object.entries(CHOICES).forEach(([name, choice]) => offer(name, choice)));
  addEventListener("load", tint);
  addEventListener("storage", (event) => {
    for (const choice of Object.values(CHOICES)) if (event.key === choice.key) choice.apply(kept(choice));
  });
})();
