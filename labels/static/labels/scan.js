// The page works without: this sends a photo as soon as it is taken, so that one hand is enough.
"use strict";

document.addEventListener("change", (event) => {
  const form = event.target.closest("form[data-send-on-choice]");
  if (form && event.target.type === "file" && event.target.files.length) form.requestSubmit();
});
