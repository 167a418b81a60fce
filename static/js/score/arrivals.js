// Pages that arrive: fetched and parsed ahead while nothing else is to do, set in one at a time, the
// nearest to what one sees first. What is left for a turn of the page is to draw it.

const AHEAD = 2; // pages parsed before anybody comes near
const PATIENCE = 1000; // ms

export class Arrivals {
  #frame; #live; #setIn; #missing; #watch;
  #parsed = new Map(); // figure -> promise of {svg} or {problem}
  #later = new Map(); // figures nobody has come near yet -> their addresses
  #waiting = new Map(); // figures whose turn is to come -> {svg, done}
  #busy = false;

  /**
   * @param frame the element that scrolls, or null for the window; @param live whether the view is still this one
   * @param setIn (figure, svg) draws a page; @param missing (figure, sentence) says that it did not come
   */
  constructor({ frame, live, setIn, missing }) {
    this.#frame = frame; this.#live = live; this.#setIn = setIn; this.#missing = missing;
    this.#watch = new IntersectionObserver((entries) => this.#come(entries), { root: frame, rootMargin: "100%" });
  }

  /**
   * A page at its place in the document; it comes at once, or when somebody comes near. Its address
   * may be one that is still to be found: a function, to {url} or {problem}.
   */
  add(figure, url, { atOnce, ahead = true }) {
    let once = null;
    figure.load = () => { once ??= this.#load(figure, url); return once; };
    figure.again = () => { once = null; return figure.load(); };
    if (atOnce) { figure.load(); return; }
    if (ahead) this.#later.set(figure, url); // parsed before anybody comes near
    this.#watch.observe(figure);
  }

  close() {
    this.#watch.disconnect();
    this.#later.clear();
    for (const { done } of this.#waiting.values()) done(); // whoever waits sees that the view is another
    this.#waiting.clear();
  }

  // What is seen comes first; what lies around it when the window rests, but waits for no slow line.
  async #come(entries) {
    const near = entries.filter((e) => e.isIntersecting).map((e) => e.target);
    const [seen, around] = [near.filter((f) => !away(f, this.#frame)), near.filter((f) => away(f, this.#frame))];
    const all = Promise.all(seen.map((figure) => figure.load()));
    if (seen.length) await Promise.race([all, new Promise((done) => { setTimeout(done, PATIENCE); })]);
    idle(() => { if (this.#live()) for (const figure of around) figure.load(); });
  }

  async #load(figure, url) {
    this.#watch.unobserve(figure);
    this.#later.delete(figure);
    const { svg, problem } = await this.#drawing(figure, url);
    this.#parsed.delete(figure);
    if (!this.#live()) return;
    if (problem) { this.#missing(figure, problem); return; }
    await new Promise((done) => {
      this.#waiting.set(figure, { svg, done });
      if (!this.#busy) this.#set();
    });
  }

  #drawing(figure, url) {
    if (!this.#parsed.has(figure)) this.#parsed.set(figure, drawing(url));
    return this.#parsed.get(figure);
  }

  // One page a frame: in between, the window may be moved and written in.
  async #set() {
    this.#busy = true;
    while (this.#waiting.size) {
      const figure = nearest(this.#waiting.keys(), this.#frame);
      const { svg, done } = this.#waiting.get(figure);
      this.#waiting.delete(figure);
      try { this.#setIn(figure, svg); } catch (error) { reportError(error); } // the next ones come all the same
      done();
      await frame();
    }
    this.#busy = false;
    idle(() => this.#ahead());
  }

  async #ahead() {
    const waiting = [...this.#later.keys()].filter((figure) => !this.#parsed.has(figure));
    if (!this.#live() || this.#busy || !waiting.length || this.#later.size - waiting.length >= AHEAD) return;
    const figure = nearest(waiting, this.#frame);
    const { problem } = await this.#drawing(figure, this.#later.get(figure));
    if (problem) this.#parsed.delete(figure); // told, and asked for again, when somebody comes near
    else idle(() => this.#ahead());
  }
}

async function drawing(address) {
  const { url, problem } = typeof address === "string" ? { url: address } : await address();
  if (!url) return { problem: problem || "This page did not come." };
  const answer = await fetch(url).catch(() => null);
  if (!answer?.ok) return { problem: await failure(answer) };
  const inert = document.createElement("template");
  inert.innerHTML = await answer.text(); // made by our worker out of an allow-list
  const svg = document.adoptNode(inert.content.firstElementChild);
  for (const tip of svg.querySelectorAll("title")) tip.remove();
  svg.setAttribute("role", "img");
  return { svg };
}

/** How far a page is from what one sees, in pixels; 0 if some of it is seen. */
function away(figure, frame) {
  const edge = frame?.getBoundingClientRect() ?? { top: 0, bottom: innerHeight, left: 0, right: innerWidth };
  const box = figure.getBoundingClientRect();
  return Math.max(edge.top - box.bottom, box.top - edge.bottom, 0) + Math.max(edge.left - box.right, box.left - edge.right, 0);
}

function nearest(figures, frame) {
  return [...figures].map((figure) => [away(figure, frame), figure]).sort((a, b) => a[0] - b[0])[0][1];
}

/** The sentence a page or a view that did not come is told with. */
export async function failure(answer) {
  if (!answer) return "No connection: this page did not come.";
  try { return (await answer.json()).detail ?? "The page could not be shown. Reload it; nothing you wrote is lost."; }
  catch { return "The page could not be shown. Reload it; nothing you wrote is lost."; }
}

// A window in the background has no frames.
function frame() { return new Promise((done) => { requestAnimationFrame(done); setTimeout(done, 100); }); }
function idle(work) { if (window.requestIdleCallback) requestIdleCallback(work, { timeout: 500 }); else setTimeout(work, 200); }
