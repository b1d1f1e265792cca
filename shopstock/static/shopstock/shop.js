// Small helps that the pages work without: keep one tap one wish, and let a scanner type from anywhere.
"use strict";

// A form that was sent shows so and cannot be sent a second time by an impatient thumb; the key in it guards the rest.
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.method !== "post" || event.defaultPrevented) return;
  if (form.dataset.sent) { event.preventDefault(); return; }
  form.dataset.sent = "yes";
  const button = event.submitter;
  if (button) { button.setAttribute("aria-disabled", "true"); button.classList.add("waiting"); }
});

window.addEventListener("pageshow", () => {
  for (const form of document.querySelectorAll("form[data-sent]")) delete form.dataset.sent;
  for (const button of document.querySelectorAll(".waiting")) {
    button.classList.remove("waiting");
    button.removeAttribute("aria-disabled");
  }
});

// A keyboard scanner types fast and ends with Enter: what arrives outside a field goes to the find field.
document.addEventListener("keydown", (event) => {
  const find = document.getElementById("find");
  const inField = event.target.closest("input, textarea, select, button, a, summary");
  if (!find || inField || event.ctrlKey || event.altKey || event.metaKey || event.key.length !== 1) return;
  find.focus();
});
