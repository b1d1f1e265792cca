// Cuts that could not be sent stay on this device, one entry each, until the ledger has answered for them.
// A cut is sent as often as it takes; its key makes it one line of the ledger all the same.
"use strict";

const cutQueue = (() => {
  const PREFIX = "cut:";
  const ANSWER_WITHIN_MS = 8000;
  const TRY_EVERY_MS = 2000;
  const LIVE_FOR_MS = 15000;  // after that, whoever was sending it is gone
  const address = document.body.dataset.cutQueue;
  const person = document.body.dataset.person;
  let sending = false;
  let trouble = "";
  let told = [];

  function all() {
    const keys = Object.keys(localStorage).filter((name) => name.startsWith(PREFIX));
    const items = keys.map((name) => JSON.parse(localStorage.getItem(name))).filter(Boolean);
    return items.sort((a, b) => a.at.localeCompare(b.at) || a.order - b.order);
  }

  function put(item) {
    localStorage.setItem(PREFIX + item.key, JSON.stringify(item));
  }

  function remove(key) {
    localStorage.removeItem(PREFIX + key);
  }

  function newKey() {
    const bytes = crypto.getRandomValues(new Uint8Array(16));  // randomUUID is missing on plain http
    return [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  }

  function isWaiting(item) {
    return item.state === "waiting" || (item.state === "live" && Date.now() - Date.parse(item.at) > LIVE_FOR_MS);
  }

  const mine = (item) => item.person === person;
  const unsent = () => all().filter((item) => mine(item) && item.state !== "refused");

  async function ask(url, options = {}) {
    const stop = new AbortController();
    const timer = setTimeout(() => stop.abort(), ANSWER_WITHIN_MS);
    const headers = { Accept: "application/json", ...options.headers };
    try {
      const answer = await fetch(url, { cache: "no-store", redirect: "manual", ...options, headers, signal: stop.signal });
      const isJson = (answer.headers.get("Content-Type") || "").startsWith("application/json");
      return { status: answer.status, signedOut: answer.type === "opaqueredirect", body: isJson ? await answer.json() : null };
    } finally {
      clearTimeout(timer);
    }
  }

  // Only an answer that names the key counts: what a hotspot's log-in page says with 200 is no answer.
  function isDone(answer, key) {
    return (answer.status === 201 || answer.status === 200) && answer.body !== null && answer.body.key === key;
  }

  function isRefused(answer) {
    return (answer.status === 409 || answer.status === 422) && answer.body !== null && "refused" in answer.body;
  }

  function reason(answer) {
    const { message, fields } = answer.body;
    return message || Object.values(fields).flat().map((error) => error.message).join(" ");
  }

  async function flush() {
    if (sending || !address || !all().some((item) => mine(item) && isWaiting(item))) return show();
    sending = true;
    try {
      const who = await ask(address);
      if (who.signedOut) trouble = "You are signed out.";
      else if (who.status !== 200 || !who.body) trouble = "";
      else if (String(who.body.person) !== person) trouble = "Somebody else has signed in.";
      else await sendAll(who.body.token);
    } catch {
      trouble = "";
    } finally {
      sending = false;
      show();
    }
  }

  async function sendAll(token) {
    trouble = "";
    for (const item of all().filter((item) => mine(item) && isWaiting(item))) {
      if (localStorage.getItem(PREFIX + item.key) === null) continue;  // another tab was quicker
      const answer = await ask(address, { method: "POST", body: formOf(item), headers: { "X-CSRFToken": token } });
      if (isDone(answer, item.key)) {
        remove(item.key);
        told.push({ ...item, overMm: answer.body.over_mm });
      } else if (isRefused(answer) && answer.body.refused !== "SomeoneElses") {
        put({ ...item, state: "refused", message: reason(answer) });
      } else {
        return;
      }
      show();
    }
  }

  function formOf(item) {
    const sent = new URLSearchParams({ key: item.key, code: item.code, length: item.length, happened_at: item.at, person: item.person });
    for (const name of ["promise", "planned_mm", "purpose", "cause"]) if (item[name]) sent.set(name, item[name]);
    return sent;
  }

  // What the person sees of it

  const plural = (count, noun) => `${count} ${noun}${count === 1 ? "" : "s"}`;

  function element(tag, words, attributes = {}) {
    const made = document.createElement(tag);
    made.textContent = words;
    for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
    return made;
  }

  function button(words, act) {
    const made = element("button", words, { type: "button", class: "button quiet" });
    made.addEventListener("click", act);
    return made;
  }

  function lineOf(item) {
    const time = new Date(item.at).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
    return `${item.length} of ${item.code}${whatFor(item)}, ${time}`;
  }

  function whatFor(item) {
    if (item.cause) return ` cut away (${item.purpose})`;
    return item.purpose ? ` for ${item.purpose}` : "";
  }

  function listOf(items) {
    const list = element("ul", "", { class: "plain" });
    list.append(...items.map((item) => element("li", lineOf(item))));
    return list;
  }

  function actions(...buttons) {
    const row = element("p", "", { class: "actions" });
    row.append(...buttons);
    return row;
  }

  function box(kind, ...parts) {
    const made = element("div", "", { class: `notice ${kind}` });
    made.append(...parts);
    return made;
  }

  function waitingBox(items) {
    const parts = [element("p", `${plural(items.length, "cut")} waiting to be sent`, { class: "strong" }), listOf(items)];
    parts.push(element("p", trouble || "Kept on this device; sent as soon as the network is back."));
    if (trouble) {
      const next = encodeURIComponent(location.pathname);
      parts.push(actions(element("a", "Sign in to send", { class: "button", href: `${document.body.dataset.signIn}?next=${next}` })));
    } else {
      parts.push(actions(button("Send now", flush), button("Save as a file", () => save(items))));
    }
    return box("warning", ...parts);
  }

  function refusedBox(item) {
    const words = [element("p", `Not entered: ${lineOf(item)}`, { class: "strong" }), element("p", item.message)];
    const forget = button("Forget this cut", () => {
      if (confirm(`Forget ${lineOf(item)}? It is in no ledger.`)) { remove(item.key); show(); }
    });
    const open = element("a", `Open ${item.code}`, { class: "button quiet", href: `/r/${encodeURIComponent(item.code)}` });
    return box("error", ...words, actions(open, forget, button("Save as a file", () => save([item]))));
  }

  function toldBox() {
    const over = told.filter((item) => item.overMm > 0);
    const words = [element("p", `${plural(told.length, "cut")} sent. The ledger has ${told.length === 1 ? "it" : "them"}.`, { class: "strong" }), listOf(told)];
    for (const item of over) {
      words.push(element("p", `${item.code}: ${(item.overMm / 1000).toFixed(2)} m more was cut than was booked. It is noted, and the roll is to be measured.`));
    }
    return box(over.length ? "warning" : "success", ...words);
  }

  function othersBox(items) {
    const names = [...new Set(items.map((item) => item.name))].join(", ");
    return box("warning", element("p", `${plural(items.length, "cut")} of ${names} on this device: sent when ${names} signs in here.`));
  }

  function show() {
    const items = all();
    const waiting = items.filter((item) => mine(item) && item.state !== "refused" && item.state !== "live" || mine(item) && isWaiting(item));
    const others = items.filter((item) => !mine(item));
    const boxes = items.filter((item) => mine(item) && item.state === "refused").map(refusedBox);
    if (waiting.length) boxes.unshift(waitingBox(waiting));
    if (told.length) boxes.unshift(toldBox());
    if (others.length) boxes.push(othersBox(others));
    const keptAt = document.body.dataset.keptAt;
    if (keptAt) boxes.unshift(box("warning", element("p", `No network: this page is as it was ${new Date(keptAt).toLocaleString()}.`)));
    const place = placeForBoxes();
    const shown = boxes.map((made) => made.textContent).join("\n");
    if (place.dataset.shown === shown) return;  // a screen reader hears what is new, not everything every two seconds
    place.dataset.shown = shown;
    place.replaceChildren(...boxes);
  }

  function placeForBoxes() {
    const found = document.getElementById("cut-queue");
    if (found) return found;
    const made = element("section", "", { id: "cut-queue", "aria-label": "Cuts kept on this device", "aria-live": "polite" });
    document.getElementById("content").prepend(made);
    return made;
  }

  function save(items) {
    const rows = [["roll", "length", "for", "cut at", "key"], ...items.map((i) => [i.code, i.length, i.purpose || "", i.at, i.key])];
    const cell = (value) => `"${String(value).replace(/^([=+\-@])/, "'$1").replaceAll('"', '""')}"`;
    const text = rows.map((row) => row.map(cell).join(",")).join("\r\n");
    const link = element("a", "", { download: "cuts-not-sent.csv", href: URL.createObjectURL(new Blob([text], { type: "text/csv" })) });
    link.click();
    URL.revokeObjectURL(link.href);
  }

  document.addEventListener("submit", (event) => {
    if (!event.target.matches("form[data-sign-out]")) return;
    const count = unsent().length;
    if (!count) {
      if (window.caches) caches.keys().then((names) => names.forEach((name) => caches.delete(name)));
      return;
    }
    event.preventDefault();
    alert(`${plural(count, "cut")} not sent yet. Stay signed in until the network is back and they are sent.`);
  }, true);

  if (address) {
    for (const name of ["online", "pageshow", "storage"]) window.addEventListener(name, flush);
    document.addEventListener("visibilitychange", flush);
    setInterval(() => { if (all().length) flush(); }, TRY_EVERY_MS);
    if (window.isSecureContext && navigator.serviceWorker) navigator.serviceWorker.register("/worker.js").catch(() => {});
    flush();
  }

  return { all, ask, isDone, isRefused, newKey, person, put, remove, show, whatFor };
})();
