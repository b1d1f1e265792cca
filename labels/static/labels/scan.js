// The page works without: this sends a photo as soon as it is taken, made smaller first, and looks through the camera
// where the browser can.
"use strict";

(() => {
  const LONGEST_SIDE_PX = 2000;  // a label that fills a fifth of it still has three pixels a module
  const SMALL_ENOUGH_BYTES = 400_000;
  const LOOK_EVERY_MS = 150;

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

  const live = document.querySelector("[data-live]");
  if (live) offerCamera();

  async function offerCamera() {
    if (!window.isSecureContext || !window.BarcodeDetector || !navigator.mediaDevices) return;
    const formats = await BarcodeDetector.getSupportedFormats();
    if (!formats.includes("qr_code")) return;
    live.hidden = false;
    live.querySelector("button").addEventListener("click", look);
  }

  async function look() {
    const video = live.querySelector("video");
    const words = live.querySelector("[role=status]");
    try {
      video.srcObject = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
    } catch {
      words.textContent = "The camera may not be used here. Allow it in the browser, or take a photo below.";
      return;
    }
    video.hidden = false;
    await video.play();
    words.textContent = "Hold the label into the picture.";
    const detector = new BarcodeDetector({ formats: ["qr_code"] });
    const timer = setInterval(async () => {
      const [found] = await detector.detect(video).catch(() => []);
      if (!found) return;
      clearInterval(timer);
      video.srcObject.getTracks().forEach((track) => track.stop());
      document.getElementById("code").value = found.rawValue;
      document.getElementById("code").form.requestSubmit();
    }, LOOK_EVERY_MS);
  }
})();
