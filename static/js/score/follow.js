// Keeps what sounds in sight and moves the page as little as can be: only when another bar begins,
// or a page that arrived has pushed the music about, and only if its system is not seen. A system is
// taller than many windows: where staves are lit, they are what one wants to see; a scroll to the
// bar's number would take them away again.

import { onScreen } from "./geometry.js";
import { calm, stillness, visible } from "./sight.js";

const root = document.documentElement;
const SEEN = 0.3; // share of a system, or of the window, that is enough to read on

export class Follower {
  #view;
  #bar = null;
  #height = 0; // of the sheet when the bar was last looked for

  constructor(view) { this.#view = view; }

  /** The bar that sounds, or null. */
  to(bar) {
    const { sheet } = this.#view;
    if (bar === this.#bar && sheet.scrollHeight === this.#height) return;
    const begins = bar !== this.#bar;
    for (const m of sheet.querySelectorAll(".bar-mark.sounding")) m.classList.remove("sounding");
    this.#bar = null;
    this.#tell(bar);
    if (bar === null) return;
    const mark = this.#view.markOf(bar);
    if (!mark) { this.#view.later(bar)?.load(); return; } // asked again with the next tick
    this.#bar = bar;
    this.#height = sheet.scrollHeight;
    mark.classList.add("sounding");
    const place = this.#place(bar);
    if (!place) return;
    const lit = this.#lit(place);
    this.#across(place.box);
    if (lit.length ? lit.some(visible) : this.#enough(place.box)) return;
    (lit[0] ?? mark).scrollIntoView({ block: "center", inline: "nearest", behavior: calm() });
    // Music that moves while the page scrolls is passed by: one more look when all is still.
    if (begins) stillness().then(() => { if (this.#bar === bar) this.#height = 0; });
  }

  #tell(bar) {
    if (bar === this.#view.sounding) return;
    this.#view.sounding = bar;
    this.#view.root.dispatchEvent(new CustomEvent("score:sounding", { detail: { bar } }));
  }

  /** The system a bar stands in, and where the bar is in the window. */
  #place(bar) {
    for (const { figure, systems } of this.#view.pages.values()) {
      for (const system of systems) {
        const own = system.bars.find((m) => m.bar <= bar && bar <= m.last);
        if (own) return { figure, system, box: onScreen(own, figure) };
      }
    }
    return null;
  }

  #lit({ figure, system }) {
    const { top, bottom } = onScreen(system, figure);
    return [...figure.querySelectorAll(".ring, .band, .rests-lit")].filter((e) => {
      const box = e.getBoundingClientRect();
      const middle = (box.top + box.bottom) / 2;
      return middle >= top && middle <= bottom;
    });
  }

  #enough({ top, bottom }) {
    // What lies over the foot of the window (the margin on a phone, the player's bar) is kept free by
    // the page's scroll padding.
    const foot = innerHeight - (parseFloat(getComputedStyle(root).scrollPaddingBottom) || 0);
    return Math.min(bottom, foot) - Math.max(top, 0) >= SEEN * Math.min(bottom - top, foot);
  }

  /** Sideways to the bar, where it lies to the left or right of what is shown. */
  #across({ left, right }) {
    const { sheet } = this.#view;
    const frame = sheet.getBoundingClientRect();
    const from = Math.max(frame.left, 0), to = Math.min(frame.right, innerWidth);
    const middle = (left + right) / 2;
    if (middle >= from && middle <= to) return;
    const wanted = this.#view.strip ? middle - (from + to) / 2 : left - from;
    sheet.scrollBy({ left: wanted, behavior: calm() });
  }
}
