// Drawings of a plan can be made larger with a thumb; without this they scroll sideways at their usual size.
"use strict";

(() => {
  const SIZES = ["", "zoom-2", "zoom-3", "zoom-4"];

  const button = (words, sign, step, box, bar) => {
    const made = document.createElement("button");
    made.type = "button";
    made.className = "button quiet";
    made.textContent = sign;
    made.setAttribute("aria-label", words);
    made.addEventListener("click", () => change(box, bar, step));
    return made;
  };

  const change = (box, bar, step) => {
    const before = SIZES.findIndex((name) => name && box.classList.contains(name));
    const now = Math.max(0, before);
    const next = Math.min(SIZES.length - 1, Math.max(0, now + step));
    const middle = (box.scrollLeft + box.clientWidth / 2) / box.scrollWidth;
    if (SIZES[now]) box.classList.remove(SIZES[now]);
    if (SIZES[next]) box.classList.add(SIZES[next]);
    box.scrollLeft = middle * box.scrollWidth - box.clientWidth / 2;
    const [smaller, larger] = bar.querySelectorAll("button");
    smaller.setAttribute("aria-disabled", String(next === 0));
    larger.setAttribute("aria-disabled", String(next === SIZES.length - 1));
  };

  const addBars = (root) => {
    for (const place of root.querySelectorAll(".zoomable:not([data-zoom])")) {
      const box = place.querySelector(".strip-box");
      if (!box) continue;
      place.dataset.zoom = "yes";
      const bar = document.createElement("p");
      bar.className = "zoom-bar";
      bar.append(button("Smaller drawing", "−", -1, box, bar), button("Larger drawing", "+", 1, box, bar));
      place.prepend(bar);
      change(box, bar, 0);
    }
  };

  addBars(document);
  document.addEventListener("htmx:load", () => addBars(document));
})();
