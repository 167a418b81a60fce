// Where the sound is, on the page: a line through the whole system at what is heard now, its bar
// washed, and the bar's number marked in ruler and rail. The line goes from note to note with the
// frames of the screen; for those who want no motion it stands at the beginning of each bar.

import { put, shareOf } from "./geometry.js";
import { calm } from "./sight.js";

const LOOK = 100; // ms between two looks whether what sounds is still in sight

export class Cursor {
  #view;
  #player;
  #frame = null;
  #looked = 0;
  #bar = null; // the played bar the line is in, as the timeline has it
  #page = null; // the page it is drawn on
  #way = []; // [time, place on the page] along the bar
  #box = div("now");
  #wash = div("now-bar");
  #clip = div("now-system");
  #line = div("now-line");

  constructor(view, player) {
    this.#view = view;
    this.#player = player;
    this.#clip.append(this.#line);
    this.#box.append(this.#wash, this.#clip);
    this.#box.setAttribute("aria-hidden", "true");
    player.addEventListener("state", ({ detail }) => (detail.playing ? this.#run() : this.#rest()));
    if (player.playing) this.#run();
  }

  #run() { this.#frame ??= requestAnimationFrame(() => this.#step()); }

  #rest() {
    cancelAnimationFrame(this.#frame);
    this.#frame = null;
    this.#leave();
    this.#view.follow(null);
  }

  #step() {
    this.#frame = requestAnimationFrame(() => this.#step());
    const time = this.#player.heard;
    const bar = this.#player.barAt(time);
    if (!bar) return;
    const now = performance.now();
    const begins = bar !== this.#bar;
    if (begins || now - this.#looked > LOOK) {
      this.#looked = now;
      this.#view.follow(bar.index);
      if (begins || !this.#box.isConnected || this.#view.pages.get(Number(this.#page?.figure.dataset.page)) !== this.#page) this.#stand(bar);
    }
    if (this.#page) this.#line.style.transform = `translateX(${100 * this.#at(time)}%)`;
  }

  /** The wash, and the way of the line, where a bar is on the page. */
  #stand(bar) {
    this.#leave();
    this.#bar = bar;
    for (const page of this.#view.pages.values()) {
      for (const system of page.systems) {
        const own = system.bars.find((m) => m.bar <= bar.index && bar.index <= m.last);
        if (!own) continue;
        // A counted rest is one box for several bars.
        const wide = (own.right - own.left) / (own.last - own.bar + 1);
        const left = own.left + (bar.index - own.bar) * wide;
        const top = Math.min(system.inkTop, system.top);
        this.#way = this.#wayThrough(bar, page, { left, right: left + wide });
        this.#page = page;
        put(this.#wash, { left, right: left + wide, top, bottom: system.bottom });
        put(this.#clip, { left: 0, right: 1, top, bottom: system.bottom });
        page.figure.append(this.#box);
        return;
      }
    }
  }

  #leave() {
    this.#box.remove();
    this.#bar = null;
    this.#page = null;
  }

  // The first note of each onset says where the line is then; a bar line where no note stands.
  #wayThrough(bar, page, box) {
    const { notes } = this.#player.timeline;
    const frame = page.figure.getBoundingClientRect();
    const way = [];
    for (let n = firstFrom(notes, bar.start - 0.01); n < (notes?.length ?? 0) && notes[n][1] < bar.end - 0.01; n += 1) {
      const [id, on] = notes[n];
      if (on - (way.at(-1)?.[0] ?? -1) < 0.005) continue;
      const drawn = page.notes.get(id)?.[0];
      if (!drawn) continue;
      const { left, right } = shareOf(drawn.querySelector(".notehead") ?? drawn, frame);
      const middle = (left + right) / 2;
      if (middle > Math.max(box.left, way.at(-1)?.[1] ?? 0) && middle < box.right) way.push([on, middle]);
    }
    if (!way.length || way[0][0] > bar.start + 0.01) way.unshift([bar.start, box.left]);
    return [...way, [bar.end, box.right]];
  }

  #at(time) {
    const way = this.#way;
    if (calm() === "auto") return way[0][1];
    const next = Math.max(way.findIndex(([at]) => at > time), 1);
    const [[from, left], [to, right]] = [way[next - 1], way[next]];
    return left + (right - left) * Math.min(Math.max((time - from) / (to - from || 1), 0), 1);
  }
}

/** Place of the first note that begins at `time` or after it. */
function firstFrom(notes = [], time) {
  let low = 0, high = notes.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (notes[middle][1] < time) low = middle + 1;
    else high = middle;
  }
  return low;
}

function div(name) { const d = document.createElement("div"); d.className = name; return d; }
