// Shows how many labels are drawn, and the page with the PDF when all are.
"use strict";

(() => {
  const section = document.querySelector("[data-run]");
  if (!section) return;

  async function look() {
    try {
      const answer = await fetch(section.dataset.run, { headers: { Accept: "application/json" }, cache: "no-store" });
      const run = await answer.json();
      if (run.ready || run.drawn === null) return location.reload();
      section.querySelector("progress").value = run.drawn;
      section.querySelector(".words").textContent = `${run.drawn} of ${run.count} labels are drawn.`;
    } catch {
      // the network rests; the next look tells
    }
    setTimeout(look, 400);
  }

  setTimeout(look, 400);
})();
