// Keeps a reading page over a reload without a line: the page itself, what it is dressed in, and those
// pages of its score that were seen. What may be kept the server says on each reading page:
//
//   Offline: keep <person> <file>           nothing of the score is held back from this person
//   Offline: drop <person> <file> <file>…   something is; nothing of its files stays here
//
// The line is always asked first. A page or a file that is refused takes all that was kept of it away;
// signing out takes everything.

const SHELL = "reading-shell", PAGES = "reading-pages";
const LONGEST = 12 * 3600 * 1000; // ms since the server last said that a page may be kept
const READING = /^\/(assignments\/[0-9a-f-]{36}\/paper|courses\/[0-9a-f-]{36}\/scores\/[0-9a-f-]{36})\/$/;
const ENGRAVED = /^\/files\/([0-9a-f-]{36})\/view\//;
const DRESS = new Set(["style", "script", "font", "image"]);

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (url.origin !== self.location.origin) return;
  if (request.method !== "GET") {
    if (url.pathname.startsWith("/account/logout/")) event.waitUntil(dropAll());
    return;
  }
  const file = ENGRAVED.exec(url.pathname)?.[1];
  if (request.mode === "navigate" && READING.test(url.pathname)) event.respondWith(page(request, url));
  else if (file) event.respondWith(engraved(request, file));
  else if (url.pathname.startsWith("/static/") && DRESS.has(request.destination)) event.respondWith(dress(request));
});

// A page that was opened before this worker was there asks for what it has to be kept.
self.addEventListener("message", (event) => {
  if (!event.data?.keep) return;
  event.waitUntil((async () => {
    const [own, ...others] = event.data.keep.map((u) => new URL(u)).filter((u) => u.origin === self.location.origin);
    if (own && READING.test(own.pathname)) await page(new Request(own.href, { credentials: "same-origin" }), own);
    await Promise.all(others.map((u) => {
      const file = ENGRAVED.exec(u.pathname)?.[1];
      if (file) return engraved(new Request(u.href, { credentials: "same-origin" }), file);
      return /^\/static\/.*\.(css|js|woff2|svg)$/.test(u.pathname) ? dress(new Request(u.href)) : null;
    }));
  })().catch(() => {}));
});

async function page(request, url) {
  const pages = await caches.open(PAGES);
  const key = url.origin + url.pathname;
  let answer;
  try { answer = await fetch(request); } catch { return kept(pages, key); }
  const [what, person, ...files] = (answer.headers.get("Offline") ?? "").split(" ");
  if (answer.redirected || answer.type === "opaqueredirect") { await dropAll(); return answer; } // the door
  if (!answer.ok || what !== "keep") {
    await dropPage(pages, key);
    for (const file of files) await dropFile(pages, file);
    return answer;
  }
  if ((await mark(pages, "person")) !== person) { await dropAll(); await setMark(await caches.open(PAGES), "person", person); }
  const there = await caches.open(PAGES);
  await setMark(there, files[0], String(Date.now()));
  await there.put(key, answer.clone());
  return answer;
}

async function kept(pages, key) {
  const found = await pages.match(key);
  const file = found && (found.headers.get("Offline") ?? "").split(" ")[2];
  const since = file && Number(await mark(pages, file));
  if (!since || Date.now() - since > LONGEST) {
    if (file) await dropFile(pages, file);
    return new Response("<!doctype html><meta charset=utf-8><title>No connection</title><h1>No connection</h1><p>This page is not kept in your browser. Load it again when the line is back; what you typed is kept.</p>",
      { status: 503, headers: { "Content-Type": "text/html; charset=utf-8" } });
  }
  const text = (await found.text()).replace("<html ", `<html data-offline="${since}" `);
  return new Response(text, { headers: found.headers });
}

async function engraved(request, file) {
  const pages = await caches.open(PAGES);
  let answer;
  try { answer = await fetch(request); } catch (problem) {
    const found = await pages.match(request.url);
    if (found) return found;
    throw problem;
  }
  if (answer.ok && await mark(pages, file)) await pages.put(request.url, answer.clone());
  if ([401, 403, 404, 410].includes(answer.status)) await dropFile(pages, file);
  return answer;
}

async function dress(request) {
  const shell = await caches.open(SHELL);
  try {
    const answer = await fetch(request);
    if (answer.ok) await shell.put(request.url, answer.clone());
    return answer;
  } catch (problem) {
    const found = await shell.match(request.url);
    if (found) return found;
    throw problem;
  }
}

// --- what is kept, and taken away -------------------------------------------------------
const markUrl = (name) => `${self.location.origin}/offline-mark/${name}`;
async function mark(pages, name) { const found = await pages.match(markUrl(name)); return found ? found.text() : null; }
function setMark(pages, name, value) { return pages.put(markUrl(name), new Response(value)); }

async function dropPage(pages, key) {
  const found = await pages.match(key);
  const file = found && (found.headers.get("Offline") ?? "").split(" ")[2];
  if (file) await dropFile(pages, file);
  await pages.delete(key);
}

/** Everything of one file of a score: its mark, its engraved pages, the reading pages that show it. */
async function dropFile(pages, file) {
  for (const request of await pages.keys()) {
    const path = new URL(request.url).pathname;
    const of = READING.test(path) ? ((await pages.match(request))?.headers.get("Offline") ?? "").split(" ")[2] : ENGRAVED.exec(path)?.[1];
    if (of === file) await pages.delete(request);
  }
  await pages.delete(markUrl(file));
}

async function dropAll() { await Promise.all([caches.delete(PAGES), caches.delete(SHELL)]); }
