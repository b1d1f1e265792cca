// Looks through the camera where the page is secure. The browser reads the code itself where it can; where it cannot,
// the server looks at one picture after the other, as it looks at a photo.
"use strict";

(() => {
  const OWN_LOOK_EVERY_MS = 150;
  const SENT_LOOK_EVERY_MS = 400;
  const WIDE_ENOUGH_PX = 1280;
  const LABEL = /\/([rcp])\/([^/?#]+)\/?$/i;  // of whatever host: labels outlive addresses

  const live = document.querySelector("[data-live]");
  if (!live || !window.isSecureContext || !navigator.mediaDevices) return;
  const video = live.querySelector("video");
  const words = live.querySelector("[role=status]");
  const button = live.querySelector("button");
  let looks = 0;  // counted up to end the looking that goes on

  live.hidden = false;
  button.addEventListener("click", () => (video.hidden ? start() : stop()));

  async function start() {
    looks += 1;
    const mine = looks;
    const wish = { facingMode: "environment", width: { ideal: WIDE_ENOUGH_PX } };
    try {
      const stream = await navigator.mediaDevices.getUserMedia({ video: wish });
      if (mine !== looks) return end(stream);  // tapped twice
      video.srcObject = stream;
    } catch {
      words.textContent = "The camera may not be used here. Allow it in the browser, or take a photo below.";
      return;
    }
    video.hidden = false;
    button.textContent = "Stop the camera";
    await video.play();
    words.textContent = "Hold the label into the picture.";
    await look(mine, await reader());
  }

  function stop() {
    looks += 1;
    if (video.srcObject) end(video.srcObject);
    video.srcObject = null;
    video.hidden = true;
    button.textContent = "Start the camera";
    words.textContent = "";
  }

  function end(stream) {
    stream.getTracks().forEach((track) => track.stop());
  }

  async function look(mine, read) {
    while (mine === looks) {
      const { address, message } = await read();
      if (mine !== looks) return;
      if (address) {
        stop();
        words.textContent = "Found. Opening it.";
        return location.assign(address);
      }
      words.textContent = message || "Hold the label into the picture.";
      await new Promise((rested) => setTimeout(rested, read.everyMs));
    }
  }

  async function reader() {
    const formats = window.BarcodeDetector ? await BarcodeDetector.getSupportedFormats().catch(() => []) : [];
    return formats.includes("qr_code") ? ownReader(new BarcodeDetector({ formats: ["qr_code"] })) : sentReader();
  }

  function ownReader(detector) {
    const read = async () => {
      const found = await detector.detect(video).catch(() => []);
      const label = found.map((code) => code.rawValue.match(LABEL)).find(Boolean);
      if (label) return { address: `/${label[1].toLowerCase()}/${label[2].toUpperCase()}` };
      return { message: found.length ? "That code is no label of this shop." : "" };
    };
    read.everyMs = OWN_LOOK_EVERY_MS;
    return read;
  }

  function sentReader() {
    const form = document.querySelector("form[data-send-on-choice]");
    const canvas = document.createElement("canvas");
    const read = async () => {
      canvas.width = video.videoWidth;
      canvas.height = video.videoHeight;
      canvas.getContext("2d").drawImage(video, 0, 0);
      const picture = await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", 0.8));
      const body = new FormData(form);
      body.set("photo", picture, "look.jpg");
      try {
        const answer = await fetch(form.action, { method: "POST", body, headers: { Accept: "application/json" }, redirect: "manual" });
        return answer.type === "opaqueredirect" ? { message: "You are signed out. Sign in again." } : await answer.json();
      } catch {
        return { message: "No answer from the store. Type the code, or wait for the network." };
      }
    };
    read.everyMs = SENT_LOOK_EVERY_MS;
    return read;
  }
})();
