// The page works without: this sends a photo as soon as it is taken, made smaller first.
"use strict";

(() => {
  const LONGEST_SIDE_PX = 2000;  // a label that fills a fifth of it still has three pixels a module
  const SMALL_ENOUGH_BYTES = 400_000;

  document.addEventListener("change", async (event) => {
    const form = event.target.closest("form[data-send-on-choice]");
    if (!form || event.target.type !== "file" || !event.target.files.length) return;
    await shrink(event.target);
    form.requestSubmit();
  });

  // What cannot be drawn here, such as a format this browser does not know, is sent as it is.
  async function shrink(input) {
    const [photo] = input.files;
    if (photo.size <= SMALL_ENOUGH_BYTES || !window.createImageBitmap || !window.DataTransfer) return;
    try {
      const picture = await createImageBitmap(photo, { imageOrientation: "from-image" });
      const scale = Math.min(1, LONGEST_SIDE_PX / Math.max(picture.width, picture.height));
      const canvas = document.createElement("canvas");
      canvas.width = Math.round(picture.width * scale);
      canvas.height = Math.round(picture.height * scale);
      canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
      const blob = await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", 0.85));
      if (!blob || blob.size >= photo.size) return;
      const files = new DataTransfer();
      files.items.add(new File([blob], "label.jpg", { type: "image/jpeg" }));
      input.files = files.files;
    } catch {
      // the server says what is wrong with it
    }
  }
})();
