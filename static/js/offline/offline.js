// A reading page over a reload without a line: has the worker that keeps it, and says so when it comes
// from what was kept. Where a browser has no such worker (or no safe line) all is as without it.

/** On a reading page: `url` is the worker's. */
export function keepOffline(url) {
  sayKept();
  if (!url || !navigator.serviceWorker) return;
  const before = navigator.serviceWorker.controller; // else this page was not seen by it
  navigator.serviceWorker.register(url, { scope: "/" }).then(() => navigator.serviceWorker.ready).then(({ active }) => {
    if (before) return;
    const seen = performance.getEntriesByType("resource").map((entry) => entry.name);
    const tell = () => active.postMessage({ keep: [location.href.split("#")[0], ...new Set(seen)] });
    if (document.readyState === "complete") tell(); else addEventListener("load", tell, { once: true });
  }).catch(() => {}); // then there is none
}

function sayKept() {
  const since = Number(document.documentElement.dataset.offline);
  if (!since) return;
  const said = document.createElement("p");
  said.className = "doubt";
  said.setAttribute("role", "status");
  const when = new Date(since).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
  said.textContent = `No connection: this is the page as it was at ${when}. What you write is kept in this browser and sent when the line is back.`;
  document.querySelector(".desk > .score h1")?.after(said);
}

/** Nobody is signed in, or about to be no more: nothing of a score stays in the browser. */
export async function forgetOffline() {
  for (const key of Object.keys(localStorage)) if (key.startsWith("kept:")) localStorage.removeItem(key);
  if (window.caches) await Promise.all(["reading-shell", "reading-pages"].map((name) => caches.delete(name)));
  for (const worker of await (navigator.serviceWorker?.getRegistrations() ?? [])) await worker.unregister();
}
