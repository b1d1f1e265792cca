// With https: the pages of the last rolls, containers and tickets open without any network, as they were last seen.
"use strict";

const KEPT = "kept-1";
const MOST_PAGES = 60;
const ANSWER_WITHIN_MS = 4000;
const PAGES = /^\/([rc]|tickets|cuts)\/|^\/scan\/$/i;

self.addEventListener("install", () => self.skipWaiting());

self.addEventListener("activate", (event) => event.waitUntil((async () => {
  const names = await caches.keys();
  await Promise.all(names.filter((name) => name !== KEPT).map((name) => caches.delete(name)));
  await self.clients.claim();
})()));

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== location.origin) return;
  if (url.pathname.startsWith("/static/")) event.respondWith(networkFirst(event.request, url.pathname));
  else if (PAGES.test(url.pathname)) event.respondWith(page(event.request, url));
});

// /R/CODE of a label and /r/code of a hand are the same page, with or without what was just done on it.
function nameOf(url) {
  return url.pathname.replace(/^\/([rc])\/([^/]+)\/?$/i, (_, kind, code) => `/${kind.toLowerCase()}/${code.toUpperCase()}`);
}

async function page(request, url) {
  try {
    return await networkFirst(request, nameOf(url));
  } catch {
    return request.mode === "navigate" ? nothingKept() : Response.error();
  }
}

async function networkFirst(request, name) {
  const kept = await caches.open(KEPT);
  try {
    const answer = await inTime(fetch(request));
    if (answer.status === 200 && answer.type === "basic" && !answer.redirected) await keep(kept, name, answer.clone());
    return answer;
  } catch (error) {
    const found = await kept.match(name);
    if (found) return found;
    throw error;
  }
}

function inTime(promise) {
  const late = new Promise((_, refuse) => setTimeout(() => refuse(new Error("no answer in time")), ANSWER_WITHIN_MS));
  return Promise.race([promise, late]);
}

async function keep(kept, name, answer) {
  const isPage = (answer.headers.get("Content-Type") || "").startsWith("text/html");
  await kept.delete(name);
  await kept.put(name, isPage ? await marked(answer) : answer);
  const pages = (await kept.keys()).filter((request) => PAGES.test(new URL(request.url).pathname));
  await Promise.all(pages.slice(0, -MOST_PAGES).map((request) => kept.delete(request)));
}

// A kept page says since when it is kept.
async function marked(answer) {
  const text = (await answer.text()).replace("<body", `<body data-kept-at="${new Date().toISOString()}"`);
  return new Response(text, { headers: { "Content-Type": "text/html; charset=utf-8", ...policy(answer) } });
}

function policy(answer) {
  const value = answer.headers.get("Content-Security-Policy");
  return value ? { "Content-Security-Policy": value } : {};
}

async function nothingKept() {
  const kept = await caches.open(KEPT);
  const names = (await kept.keys()).map((request) => new URL(request.url).pathname).filter((path) => /^\/(r|c|tickets)\//.test(path));
  const links = names.map((path) => `<li><a href="${path}">${path}</a></li>`).join("");
  const text = `<!DOCTYPE html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>No network</title><link rel="stylesheet" href="/static/shopstock/shop.css"><body><main><h1>No network</h1>
<p>This page was not opened on this device before. These open without network:</p><ul>${links || "<li>none</li>"}</ul></main></body></html>`;
  return new Response(text, { status: 503, headers: { "Content-Type": "text/html; charset=utf-8" } });
}
