// The bars as played and the times tapped: which bar is next, what a tap changes, what can be undone.

const MOST_UNDONE = 500;
const key = (bar) => `${bar.index},${bar.pass}`;

export class Taps {
  next = 0; // place among the bars played; bars.length when all are done
  every = 1; // bars a tap goes on
  #times = new Map(); // "index,pass" -> s
  #undone = [];

  /** @param played {played: bars, once: bars} as the server tells them; @param draft as it keeps it */
  constructor(played, draft) {
    this.played = played;
    this.order = draft.order;
    for (const t of draft.taps) this.#times.set(`${t.bar},${t.pass}`, t.at);
    this.#goOn();
  }

  get bars() { return this.played[this.order]; }
  get done() { return this.next >= this.bars.length; }
  at(place) { const bar = this.bars[place]; return bar && this.#times.get(key(bar)); }
  get count() { return this.bars.filter((bar) => this.#times.has(key(bar))).length; }
  get draft() {
    const taps = [...this.#times].map(([k, at]) => { const [bar, pass] = k.split(",").map(Number); return { bar, pass, at }; });
    return { order: this.order, taps };
  }

  /** An upbeat has no first beat: one begins with the bar after it. */
  get start() {
    const [a, b] = this.bars;
    return b && a.end - a.start < 0.9 * (b.end - b.start) ? 1 : 0;
  }

  // After the last tap; where there is none, at the first bar with a first beat.
  #goOn() {
    let last = -1;
    this.bars.forEach((bar, place) => { if (this.#times.has(key(bar))) last = place; });
    this.next = last < 0 ? this.start : last + 1;
  }

  inOrder(order) { this.order = order; this.#undone = []; this.#goOn(); }

  #before(place) {
    for (let p = place - 1; p >= 0; p -= 1) if (this.at(p) !== undefined) return p;
    return null;
  }

  #keep() {
    this.#undone.push([new Map(this.#times), this.next]);
    if (this.#undone.length > MOST_UNDONE) this.#undone.shift();
  }

  get canUndo() { return this.#undone.length > 0; }

  undo() {
    const kept = this.#undone.pop();
    if (kept) [this.#times, this.next] = kept;
  }

  /** The next bar begins at this second. A sentence if it cannot; later taps it contradicts go. */
  tap(seconds) {
    if (this.done) return "All bars are tapped. To mend some, go on from a bar.";
    const place = this.next;
    const at = Math.round(seconds * 1000) / 1000;
    const before = this.#before(place);
    if (before !== null && this.at(before) >= at) {
      return `Bar ${this.bars[place].label} cannot begin before bar ${this.bars[before].label}, which you tapped later in the recording. Let it play on, or go on from an earlier bar.`;
    }
    this.#keep();
    this.#times.set(key(this.bars[place]), at);
    for (let p = place + 1; p < this.bars.length; p += 1) {
      if (this.at(p) !== undefined && this.at(p) <= at) this.#times.delete(key(this.bars[p]));
    }
    this.next = Math.min(place + this.every, this.bars.length);
    return "";
  }

  skip() { if (!this.done) { this.#keep(); this.next += 1; } }

  remove(place) { this.#keep(); this.#times.delete(key(this.bars[place])); }

  /** Earlier or later, one tap or (without a place) all: never past its neighbours, nor the ends. */
  nudge(by, duration, place = null) {
    const places = this.bars.map((_, p) => p).filter((p) => this.at(p) !== undefined);
    const moved = new Map(places.map((p) => [p, Math.round((this.at(p) + (place === null || p === place ? by : 0)) * 1000) / 1000]));
    const times = places.map((p) => moved.get(p));
    if (times[0] < 0 || times.at(-1) > duration || times.some((t, n) => n && t <= times[n - 1])) return "It cannot be moved further.";
    this.#keep();
    for (const p of places) this.#times.set(key(this.bars[p]), moved.get(p));
    return "";
  }

  /** Where in the recording one goes on to tap a bar: a little before it. */
  leadTo(place, known) {
    const row = known.find(([p]) => p === place);
    const before = this.#before(place);
    const at = this.at(place) ?? row?.[1] ?? (before === null ? 0 : this.at(before));
    return Math.max(0, at - 2);
  }
}
