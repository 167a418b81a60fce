// The engraved score on a page: pages come one by one, bars and parts are chosen
// by pointer or keyboard, notes are lit. Knows nothing of who looks at it.
//
// Events on the element: "score:selection" {first, last, parts}, "score:ready" {page}.
// Bars are indices of the score; labels come from the outline.

import { Arrivals, failure } from "./arrivals.js";
import { Follower } from "./follow.js";
import { measured, notesOf, onScreen, put, runs, shareOf, under } from "./geometry.js";
import { calm, somebody, stillness, visible } from "./sight.js";
import { Tapping } from "./tapping.js";

const POLL = 700;
const AT_ONCE = 2; // pages shown before anybody scrolls to them
const TILE = 8; // bars of a tile of the endless line, as the engraver cuts them
const PIECE = 4; // tiles of it that are engraved together
const TILE_WIDE = 2600; // of a tile nobody has seen yet, in the engraver's units
const SHEETS = [undefined, 150, 110, 80]; // mm: the narrower, the larger its staves on the screen and on paper
const LARGER = { large: 1, print: 2 }; // the reader's choice of staves
const LEAD = 132; // px that the names at the left may cover, as in rails.js
const NARROW = 620; // px: below it the music is set on a narrow sheet, so that it can be read

export class ScoreView {
  /** @param root element with data-view-url, data-page-url ("…/0.svg"), and a JSON outline by id */
  constructor(root, outline) {
    this.root = root;
    this.outline = outline;
    this.labels = new Map(outline.bars.map((bar) => [bar.i, bar.label]));
    this.pages = new Map(); // number -> {figure, systems, under, over, notes: id -> elements}
    this.marks = new Map(); // bar -> its button in the ruler
    this.stop = null; // the one button the tab key comes to
    this.lit = new Map(); // id -> class
    this.rests = []; // {part, first, last}
    this.selection = { first: null, last: null, parts: new Set() };
    this.anchor = null;
    this.cursor = null;
    this.zoom = 1;
    this.generation = 0;
    this.going = null; // the journey under way to a place, if any
    this.follower = new Follower(this);
    this.sheet = document.createElement("div");
    this.sheet.className = "sheet";
    this.status = document.createElement("p");
    this.status.className = "muted score-status";
    this.status.setAttribute("role", "status");
    root.append(this.status, this.sheet);
    this.tapping = new Tapping(this);
    this.#listen();
  }

  label(bar) { return this.labels.get(bar) ?? "?"; }

  span(first, last) { return first === last ? this.label(first) : `${this.label(first)}–${this.label(last)}`; }

  /** Whether the view reaches to a bar. */
  shows(bar) { return this.view?.first === undefined || (bar >= this.view.first && bar <= this.view.last); }

  /**
   * Show another view: {parts: [ids], first, last, pitch, layout}. A strip comes in tiles, and is
   * engraved in pieces, those around bar `near` first.
   */
  async open(view = {}, { near = null } = {}) {
    const mine = ++this.generation;
    this.going = null;
    this.view = view;
    this.strip = view.layout === "strip";
    this.sheet.classList.toggle("strip", this.strip);
    this.pageOf = null;
    this.complete = this.problem = false; // every page has its place; or there will be none
    this.aspect = this.wide = null;
    this.pages.clear();
    this.marks.clear();
    this.stop = null;
    this.arrivals?.close();
    this.arrivals = new Arrivals({
      frame: this.strip ? this.sheet : null, live: () => mine === this.generation,
      setIn: (figure, svg) => this.#setIn(figure, svg), missing: (figure, text) => this.#missing(figure, text),
    });
    this.sheet.replaceChildren();
    this.status.textContent = "The page is being engraved…";
    this.root.dispatchEvent(new CustomEvent("score:opened", { detail: view }));
    if (this.strip) { this.#strip(view, near, mine); return; }
    let shown = 0;
    const state = await this.#ask(view, mine, (state) => {
      this.pageOf = state.page_of;
      for (; shown < state.ready; shown += 1) this.#place(shown + 1, this.#pageUrl(state.key, shown + 1), shown < AT_ONCE);
      if (state.pages !== null && shown >= state.pages) return true;
      this.status.textContent = state.pages ? `Engraving: page ${shown} of ${state.pages}` : waiting(state);
      return false;
    });
    if (mine !== this.generation) return;
    this.complete = !state.problem;
    this.problem = Boolean(state.problem);
    this.status.textContent = state.problem ?? "";
  }

  #pageUrl(key, number) { return this.root.dataset.pageUrl.replace("KEY", key).replace("/0.svg", `/${number}.svg`); }

  /** Ask how far a view is until `enough` says so; its last state, or {problem}. */
  async #ask(view, mine, enough) {
    const query = new URLSearchParams();
    for (const [name, value] of Object.entries({ ...view, sheet: this.#sheetFor(view) })) {
      if (Array.isArray(value) ? value.length : value !== undefined && value !== null && value !== "") {
        query.set(name, Array.isArray(value) ? value.join(",") : value);
      }
    }
    for (let tries = 0; tries < 400; tries += 1) {
      const answer = await fetch(`${this.root.dataset.viewUrl}?${query}`, { headers: { Accept: "application/json" } }).catch(() => null);
      if (mine !== this.generation) return { problem: "" };
      if (!answer) { this.status.textContent = "No connection. The page comes as soon as it is back."; await pause(4 * POLL); continue; }
      if (!answer.ok) return { problem: await failure(answer) };
      const state = await answer.json();
      if (state.problem || enough(state)) return state.problem ? { problem: state.problem } : state;
      await pause(POLL);
      if (mine !== this.generation) return { problem: "" };
    }
    return { problem: "Engraving takes unusually long. Reload the page to try again; nothing you wrote is lost." };
  }

  // One endless line: all its tiles have their places at once. A piece of it is asked for when the
  // first of its tiles is, so that a line is soon there wherever one reads.
  #strip(view, near, mine) {
    const { first = 0, last = this.outline.bars.length - 1 } = view;
    // Parts left out and staves of our making are those of the whole passage: one piece.
    const whole = view.resting || (view.staves && view.staves !== "printed");
    const tiles = Math.ceil((last - first + 1) / TILE), inPiece = whole ? tiles : PIECE;
    const keys = new Map(); // piece -> its state, once the tile asked for is ready
    const ask = (piece, tile) => this.#ask({ ...view, first: first + piece * inPiece * TILE, last: Math.min(last, first + (piece + 1) * inPiece * TILE - 1) }, mine, (state) => {
      if (state.ready <= tile) this.status.textContent = waiting(state);
      return state.ready > tile;
    });
    this.pageOf = Array.from({ length: last - first + 1 }, (_, n) => Math.floor(n / TILE) + 1);
    for (let n = 0; n < tiles; n += 1) {
      const piece = Math.floor(n / inPiece), tile = n % inPiece;
      this.#place(n + 1, async () => {
        if (!(keys.get(piece)?.ready > tile)) keys.set(piece, await ask(piece, tile));
        const { key, problem } = keys.get(piece);
        if (mine === this.generation) this.status.textContent = "";
        return key ? { url: this.#pageUrl(key, tile + 1) } : { problem };
      }, false);
    }
    this.complete = true;
    this.status.textContent = "";
    const start = this.sheet.querySelector(`.score-page[data-page="${this.pageOf[(near ?? first) - first] ?? 1}"]`);
    if (start) this.sheet.scrollLeft = start.offsetLeft;
  }

  // A few bars are set larger; on a telephone everything is; and by the reader's own choice.
  #sheetFor({ first, last }) {
    const few = first !== undefined && last - first < 8;
    const at = this.root.clientWidth < NARROW ? 2 : few ? 1 : 0;
    return SHEETS[Math.min(at + (LARGER[document.documentElement.dataset.staff] ?? 0), SHEETS.length - 1)];
  }

  #place(number, url, atOnce) {
    const figure = document.createElement("figure");
    figure.className = "score-page";
    figure.dataset.page = number;
    figure.setAttribute("aria-label", `Page ${number} of the score`);
    if (!atOnce) figure.classList.add("later"); // until somebody comes near
    figure.style.aspectRatio = this.aspect ?? 0.75; // the place it is going to take
    if (this.strip) figure.style.setProperty("--wide", this.wide ?? TILE_WIDE);
    this.sheet.append(figure);
    this.arrivals.add(figure, url, { atOnce, ahead: !this.strip }); // a piece nobody may come to is not engraved
  }

  #setIn(figure, svg) {
    const number = Number(figure.dataset.page);
    figure.replaceChildren(svg);
    figure.classList.remove("later");
    figure.style.aspectRatio = ""; // or the page would be measured in a frame of another height
    const { width, height } = svg.viewBox.baseVal;
    if (this.strip) this.#tileWide(figure, width);
    if (!this.aspect) {
      this.aspect = width / height;
      this.wide = width;
      for (const page of this.strip ? [] : this.sheet.querySelectorAll(".score-page:not(:has(svg))")) page.style.aspectRatio = this.aspect;
    }
    this.#measure(figure, number);
    svg.setAttribute("aria-label", this.#describe(number));
    this.root.dispatchEvent(new CustomEvent("score:ready", { detail: { page: number } }));
  }

  // A page that did not come says so; it is asked for again by its own button.
  #missing(figure, text) {
    const again = document.createElement("button");
    again.type = "button";
    again.textContent = "Try again";
    again.addEventListener("click", () => { figure.textContent = ""; figure.again(); });
    figure.replaceChildren(text, " ", again);
  }

  // A tile to the left that turns out wider or narrower must not move what one reads.
  #tileWide(figure, width) {
    const before = figure.offsetWidth;
    figure.style.setProperty("--wide", width);
    if (figure.offsetLeft < this.sheet.scrollLeft) this.sheet.scrollLeft += figure.offsetWidth - before;
  }

  #describe(number) {
    const shown = this.pages.get(number).systems.flatMap((s) => s.bars);
    const bars = shown.map((m) => m.bar), last = shown.map((m) => m.last);
    return bars.length ? `Bars ${this.span(bars[0], Math.max(...last))}, engraved` : `Page ${number}`;
  }

  // The bar ruler of each system stands above all its ink, aligned with its bars.
  #measure(figure, number) {
    const systems = measured(figure);
    if (this.strip) for (const s of systems) s.inkTop = 0;
    const under = layer("score-under"), over = layer("score-over"), ruler = layer("score-ruler");
    const page = { figure, systems, under, over, notes: notesOf(figure) };
    this.pages.set(number, page);
    const drawn = this.#paint(page); // all that is read of the page, before anything is written
    for (const system of systems) {
      for (const m of system.bars) {
        const mark = document.createElement("button");
        mark.type = "button";
        mark.className = "bar-mark num";
        mark.textContent = this.span(m.bar, m.last);
        mark.setAttribute("aria-label", m.last > m.bar ? `Bars ${this.span(m.bar, m.last)}, rest` : `Bar ${this.label(m.bar)}`);
        mark.dataset.bar = m.bar;
        mark.dataset.last = m.last;
        mark.tabIndex = -1;
        const top = this.strip ? 0 : Math.min(system.inkTop, system.top); // one line along all tiles
        ruler.append(put(mark, { left: m.left, right: m.right, top, bottom: top }));
        this.marks.set(m.bar, mark);
        this.#say(mark);
      }
    }
    drawn();
    figure.prepend(under);
    figure.append(over, ruler);
    this.#tabStop();
  }

  #tabStop() {
    const wanted = this.cursor ?? this.selection.first;
    const stop = this.marks.get(wanted) ?? this.marks.get(Math.min(...this.marks.keys())) ?? null;
    if (stop === this.stop) return;
    if (this.stop) this.stop.tabIndex = -1;
    if (stop) stop.tabIndex = 0;
    this.stop = stop;
  }

  // --- choosing -------------------------------------------------------------
  #listen() {
    this.sheet.addEventListener("click", (event) => {
      const mark = event.target.closest(".bar-mark");
      const hit = mark ? { bar: Number(mark.dataset.bar), part: null } : this.#at(event);
      if (!hit) return;
      if (event.pointerType === "touch") this.tapping.tap(hit);
      else this.choose(hit.bar, { extend: event.shiftKey, part: hit.part, add: event.ctrlKey || event.metaKey });
    });
    let start = null;
    this.sheet.addEventListener("pointerdown", (event) => { start = event.pointerType === "mouse" ? this.#at(event) : null; });
    this.sheet.addEventListener("pointerup", (event) => {
      const end = start && this.#at(event);
      if (end && (end.bar !== start.bar)) {
        this.choose(start.bar, { part: start.part });
        this.choose(end.bar, { extend: true, part: end.part });
        this.sheet.addEventListener("click", (e) => e.stopPropagation(), { capture: true, once: true });
      }
      start = null;
    });
    this.sheet.addEventListener("keydown", (event) => {
      const mark = event.target.closest(".bar-mark");
      if (!mark) return;
      const bar = Number(mark.dataset.bar);
      const bars = this.#bars();
      const at = bars.indexOf(bar);
      const go = (to) => {
        if (to === undefined) return;
        event.preventDefault();
        this.cursor = to;
        if (event.shiftKey) {
          const { first, last } = this.selection; // from the bar one stands on, unless it is chosen already
          if (first === null || bar < first || bar > last) this.anchor = bar;
          this.choose(to, { extend: true });
        }
        this.#tabStop();
        this.marks.get(to)?.focus();
      };
      if (event.key === "ArrowRight") go(bars[at + 1]);
      else if (event.key === "ArrowLeft") go(bars[at - 1]);
      else if (event.key === "Home") go(bars[0]);
      else if (event.key === "End") go(bars[bars.length - 1]);
      else if (event.key === "ArrowDown" || event.key === "ArrowUp") { event.preventDefault(); this.#step(event.key === "ArrowDown" ? 1 : -1, bar, event.shiftKey); }
      else if (event.key === "Escape") this.clear();
    });
  }

  #bars() { return [...new Set([...this.pages.keys()].sort((a, b) => a - b).flatMap((n) => this.pages.get(n).systems.flatMap((s) => s.bars.map((m) => m.bar))))]; }

  #step(by, bar, add) {
    const shown = this.#measureOf(bar)?.staves.map((s) => s.part) ?? [];
    const parts = [...new Set(shown)];
    const last = [...this.selection.parts].pop();
    const next = parts[Math.min(parts.length - 1, Math.max(0, (last ? parts.indexOf(last) : by > 0 ? -1 : parts.length) + by))];
    if (!add) this.selection.parts.clear();
    if (next) this.selection.parts.add(next);
    if (this.selection.first === null) this.selection.first = this.selection.last = bar;
    this.#changed();
  }

  #measureOf(bar) {
    return [...this.pages.values()].flatMap((p) => p.systems).flatMap((s) => s.bars).find((m) => m.bar <= bar && bar <= m.last) ?? null;
  }

  /** The mark in the ruler over a bar, or over the counted rest it is in. */
  markOf(bar) {
    const there = this.#measureOf(bar);
    return there && this.marks.get(there.bar);
  }

  #at(event) {
    const figure = event.target.closest(".score-page");
    const page = figure && this.pages.get(Number(figure.dataset.page));
    if (!page) return null;
    const box = figure.getBoundingClientRect();
    return under(page.systems, (event.clientX - box.left) / box.width, (event.clientY - box.top) / box.height);
  }

  choose(bar, { extend = false, part = null, add = false } = {}) {
    const s = this.selection;
    const last = this.#measureOf(bar)?.last ?? bar;
    if (extend && this.anchor !== null) { s.first = Math.min(this.anchor, bar); s.last = Math.max(this.anchor, last); }
    else { this.anchor = bar; s.first = bar; s.last = last; if (!add && part) s.parts.clear(); }
    if (part) { if (add && s.parts.has(part)) s.parts.delete(part); else s.parts.add(part); }
    this.cursor = bar;
    this.#changed();
  }

  select({ first = null, last = first, parts = [] }) {
    this.selection = { first, last, parts: new Set(parts) };
    this.anchor = first;
    this.cursor = first;
    this.#changed(false);
  }

  clear() { this.select({}); this.#changed(); }

  #changed(tell = true) {
    this.#draw();
    this.#tabStop();
    const { first, last, parts } = this.selection;
    if (tell) this.root.dispatchEvent(new CustomEvent("score:selection", { detail: { first, last, parts: [...parts] } }));
  }

  // --- lighting ---------------------------------------------------------------
  /** Light notes (ids) with a class: "lit" for evidence, "contrary" for contrary notes. */
  light(ids, name = "lit") { for (const id of ids) this.lit.set(id, name); this.#draw(); }

  lightRests(part, first, last) { this.rests.push({ part, first, last }); this.#draw(); }

  /** Bands behind staves: the tutor's "lit" parts of a note. */
  band(bands) { this.bands = bands; this.#draw(); }

  dark() { this.lit.clear(); this.rests = []; this.bands = []; this.#draw(); }

  #draw() {
    for (const drawn of [...this.pages.values()].map((page) => this.#paint(page))) drawn();
    for (const m of this.marks.values()) this.#say(m);
  }

  // Reads a page and returns what writes on it: a box read after something was written
  // would have the whole page laid out anew.
  #paint({ figure, systems, under, over, notes }) {
    const { first, last, parts } = this.selection;
    const below = [], rings = [], lit = new Map();
    const lay = (system, name, from, to, ids = []) => { for (const box of runs(system, from, to, ids)) below.push(put(mark(name), box)); };
    for (const system of systems) {
      if (first !== null) lay(system, "chosen", first, last, [...parts]);
      for (const b of this.bands ?? []) lay(system, "band", b.first, b.last, b.parts);
      for (const r of this.rests) lay(system, "rests-lit", r.first, r.last, [r.part]);
    }
    const frame = this.lit.size ? figure.getBoundingClientRect() : null;
    for (const [id, name] of this.lit) {
      for (const note of notes.get(id) ?? []) { // "a 2" stands on both players' staves
        lit.set(note, name);
        rings.push(put(mark(`ring ring-${name}`), shareOf(note.querySelector(".notehead") ?? note, frame)));
      }
    }
    return () => {
      under.replaceChildren(...below);
      over.replaceChildren(...rings);
      for (const old of figure.querySelectorAll(".lit, .contrary")) if (!lit.has(old)) old.classList.remove("lit", "contrary");
      for (const [note, name] of lit) { note.classList.remove("lit", "contrary"); note.classList.add(name); }
    };
  }

  #say(mark) {
    const { first, last } = this.selection, bar = Number(mark.dataset.bar);
    const on = first !== null && Number(mark.dataset.last) >= first && bar <= last;
    mark.classList.toggle("on", on);
    mark.setAttribute("aria-pressed", on);
    const word = this.bands?.find((b) => b.first === bar)?.word;
    if (word) mark.dataset.word = word; else delete mark.dataset.word;
  }

  /** The playing position: a bar, or null. */
  follow(bar) { this.follower.to(bar); }

  /** Bring what is lit in sight, from bar `first` on; where nothing is, the bar itself. */
  reveal(first, last = first) { return this.goTo(first, last, { lit: true }); }

  /** Bring what is lit in sight if none of it is; moves the page as little as can be. */
  async keepLitInSight() {
    if (this.#lit().length && !this.#lit().some(visible)) await this.#bring(() => this.#lit()[0], "nearest");
  }

  /** Bands, rings and rests that are lit, from the top. */
  #lit() {
    const at = (e) => { const b = e.getBoundingClientRect(); return [b.top, b.left]; };
    const found = [...this.sheet.querySelectorAll(".score-over .ring, .score-under .band, .score-under .rests-lit")];
    return found.map((e) => [e, ...at(e)]).sort((a, b) => a[1] - b[1] || a[2] - b[2]).map(([e]) => e);
  }

  // Pages that arrive meanwhile push things about, and drawing makes the lit ones anew:
  // look again when the scrolling has ended, unless somebody has taken over.
  async #bring(find, block = "center") {
    const mine = this.going = {}; // one journey at a time: a later one ends this one
    const by = somebody();
    for (let tries = 0; tries < 4 && !by.taken && mine === this.going; tries += 1) {
      const target = find();
      if (!target || (tries && visible(target))) break;
      const wide = block === "start" || target.getBoundingClientRect().width > this.sheet.clientWidth;
      target.scrollIntoView({ block, inline: wide ? "start" : "nearest", behavior: tries ? "auto" : calm() });
      await stillness();
    }
    by.off();
  }

  /** The page a bar stands on, if nobody has come near it yet. */
  later(bar) {
    const page = this.pageOf?.[bar - (this.view?.first ?? 0)];
    return this.sheet.querySelector(`.score-page.later[data-page="${page}"]`);
  }

  /** Bring a bar in sight; outside the passage shown, the bars around it are opened. */
  async goTo(bar, last = bar, { lit = false, block = "center" } = {}) {
    if (!this.shows(bar)) {
      this.open({ ...this.view, ...passageFrom(this.outline, bar - 1, Math.max(last + 2, bar + 6)) });
    }
    const mine = this.going = {};
    for (let tries = 0; tries < 200 && mine === this.going; tries += 1) {
      const m = this.markOf(bar);
      if (m) {
        this.cursor = Number(m.dataset.bar);
        this.#tabStop();
        const find = () => (lit && this.#lit()[0]) || this.markOf(bar);
        await this.#bring(find, block);
        return m;
      }
      const later = this.later(bar);
      if (later) await later.load(); else await pause(POLL / 3);
    }
    return null;
  }

  /** The part of the sheet one sees, in pixels of the window. */
  #frame() {
    const edge = this.sheet.getBoundingClientRect();
    return { top: Math.max(0, edge.top), bottom: Math.min(innerHeight, edge.bottom), left: Math.max(0, edge.left), right: Math.min(innerWidth, edge.right) };
  }

  /** A bar in its system, from its number down, in pixels of the window. */
  #boxOf(bar) {
    for (const { figure, systems } of this.pages.values()) {
      for (const system of systems) {
        const own = system.bars.find((m) => m.bar <= bar && bar <= m.last);
        if (own) return onScreen({ ...own, top: Math.min(system.inkTop, own.top) }, figure);
      }
    }
    return null;
  }

  /** The bar one is at: with the focus, or chosen, if it is seen; else the one at the reading place. */
  #barAt() {
    const frame = this.#frame();
    const seen = (bar) => {
      const box = bar === null ? null : this.#boxOf(bar);
      return box && box.bottom > frame.top && box.top < frame.bottom && box.right > frame.left && box.left < frame.right;
    };
    const focused = document.activeElement?.closest?.(".bar-mark");
    const read = this.root.dataset.place;
    return [focused && this.sheet.contains(focused) ? Number(focused.dataset.bar) : null, this.selection.first, read === undefined ? null : Number(read)].find(seen) ?? null;
  }

  /** Half to four times the size; the bar one is at stays in sight. */
  scale(factor) {
    const bar = this.#barAt(), before = bar === null ? null : this.#boxOf(bar);
    this.zoom = Math.min(4, Math.max(0.5, factor));
    this.root.style.setProperty("--zoom", this.zoom);
    if (before) {
      const frame = this.#frame(), after = this.#boxOf(bar);
      // What stood at the top of the window, or the top of the bar, stays at its height, but not too far below.
      const from = Math.max(before.top, frame.top), share = (from - before.top) / (before.bottom - before.top);
      const wanted = Math.min(from, (frame.top + frame.bottom) / 2);
      const lead = this.sheet.scrollWidth > this.sheet.clientWidth + 2 ? LEAD : 0;
      const left = Math.max(frame.left + lead, Math.min(before.left, frame.right - (after.right - after.left)));
      const down = after.top + share * (after.bottom - after.top) - wanted;
      if (this.strip) this.sheet.scrollTop += down; else scrollBy({ top: down, behavior: "instant" });
      this.sheet.scrollLeft += after.left - left;
    }
    this.root.dispatchEvent(new CustomEvent("score:scaled", { detail: { zoom: this.zoom } }));
  }
}

/** Bars first..last as a passage, within the movement of its second bar. */
export function passageFrom(outline, first, last) {
  const inside = outline.movements.find((m) => first + 1 >= m.first && first + 1 <= m.last) ?? { first: 0, last: outline.bars.length - 1 };
  return { first: Math.max(inside.first, first), last: Math.min(inside.last, last) };
}

function waiting(state) {
  return state.ahead ? `Waiting for the engraver: ${state.ahead} before this.` : "The page is being engraved…";
}

function layer(name) { const d = document.createElement("div"); d.className = name; return d; }
function mark(name) { const d = document.createElement("div"); d.className = name; return d; }
function pause(ms) { return new Promise((done) => { setTimeout(done, ms); }); }
