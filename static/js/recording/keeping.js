// Taps are kept as one goes: one save at a time, the newest state last; a copy stays in the browser
// until the server has it.

const SOON = 700; // ms after a tap

export class Keeping {
  #timer = null;
  #busy = false;
  #again = false;
  #stale = false;

  /** draft(): what is to be kept; onSaved({bars}), onTrouble(text), onSaid(text) */
  constructor({ url, revision, draft, onSaved, onTrouble, onSaid }) {
    Object.assign(this, { url, revision, draft, onSaved, onTrouble, onSaid });
    this.name = `taps:${url}`;
    addEventListener("pagehide", () => { if (this.#timer) { clearTimeout(this.#timer); this.#send(true); } });
    addEventListener("online", () => { if (localStorage.getItem(this.name)) this.soon(); });
  }

  /** What did not reach the server when the page was left, if nobody else has saved since. */
  left(there) {
    try {
      const kept = JSON.parse(localStorage.getItem(this.name));
      const arrived = kept?.sent && kept.revision + 1 === this.revision && same(kept.sent, there);
      return arrived || kept?.revision === this.revision ? kept.draft : null;
    } catch { return null; }
  }

  // With what is on its way just now: it may still arrive when the page is gone.
  #copy() {
    localStorage.setItem(this.name, JSON.stringify({ revision: this.revision, draft: this.draft(), sent: this.sent }));
  }

  soon() {
    if (this.#stale) return;
    this.#copy();
    this.onSaid("");
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.now(), SOON);
  }

  /** Everything is at the server when this is done; false: it is not. */
  async now() {
    clearTimeout(this.#timer);
    this.#timer = null;
    if (this.#busy) { this.#again = true; return this.running; }
    this.#busy = true;
    this.running = this.#saved();
    const fine = await this.running;
    this.#busy = false;
    if (this.#again && fine) { this.#again = false; return this.now(); }
    this.#again = false;
    return fine;
  }

  #send(leaving = false) {
    const body = new FormData();
    body.set("draft", JSON.stringify(this.draft()));
    body.set("revision", this.revision);
    const token = JSON.parse(document.body.getAttribute("hx-headers"))["X-CSRFToken"];
    return fetch(this.url, { method: "POST", headers: { "X-CSRFToken": token, Accept: "application/json" }, body, keepalive: leaving }).catch(() => null);
  }

  async #saved() {
    this.sent = this.draft();
    const sent = JSON.stringify(this.sent);
    this.#copy();
    const answer = await this.#send();
    const said = await answer?.json().catch(() => null);
    if (answer?.ok && said) {
      this.revision = said.revision;
      this.sent = null;
      if (JSON.stringify(this.draft()) === sent) localStorage.removeItem(this.name);
      else this.#copy();
      this.onTrouble("");
      this.onSaid("Kept.");
      this.onSaved(said);
      return true;
    }
    if (answer?.status === 409) { this.#stale = true; localStorage.removeItem(this.name); }
    this.onSaid("");
    this.onTrouble(said?.detail ?? (answer ? "The taps could not be kept; they stay in this browser. Reload the page and sign in again if asked." : "No connection: the taps stay in this browser and are kept as soon as it is back."));
    if (!answer) this.#timer = setTimeout(() => this.now(), 5000);
    return false;
  }
}

function same(a, b) {
  const told = ({ order, taps }) => JSON.stringify([order, taps.map((t) => [t.at, t.bar, t.pass]).sort((x, y) => x[0] - y[0])]);
  return told(a) === told(b);
}
