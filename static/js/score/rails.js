// What stays in sight while one scrolls: the bar numbers of the system one reads, its
// rehearsal letters, and the names of its parts. The real ruler stands above each system;
// these are its echo for the eye, so they are hidden from screen readers and from the tab order.
//
// Event on the element: "score:place" {bar}, the bar at the reading place (top, left).

import { movementOf } from "./bars.js";

const TALL = 30; // px of the rail
const LEAD = 132; // px the names may cover; as .bar-mark's scroll-margin-left

export function setUpRails(view) {
  const { root, sheet, outline } = view;
  const letters = new Map((outline.letters ?? []).map((m) => [m.bar, m.text]));
  const rail = box("rail"), bars = box("rail-bars"), names = box("rail-names");
  rail.append(bars);
  rail.setAttribute("aria-hidden", "true");
  names.setAttribute("aria-hidden", "true");
  sheet.before(rail);
  let drawn = "", asked = 0, place = null;

  // The systems in sight, in pixels of the window, from the top (a strip: from the left).
  function inSight(frame) {
    const found = [];
    for (const { figure, systems } of view.pages.values()) {
      const page = figure.getBoundingClientRect();
      if (page.bottom < frame.top || page.top > frame.bottom || page.right < frame.left || page.left > frame.right) continue;
      for (const s of systems) {
        found.push({ figure, page, system: s, top: page.top + Math.min(s.inkTop, s.top) * page.height - TALL, bottom: page.top + s.bottom * page.height });
      }
    }
    return found.filter((s) => s.bottom > frame.top && s.top < frame.bottom).sort((a, b) => a.top - b.top || a.page.left - b.page.left);
  }

  function look() {
    asked = 0;
    const edge = sheet.getBoundingClientRect();
    const frame = { top: Math.max(0, edge.top), bottom: Math.min(innerHeight, edge.bottom), left: Math.max(0, edge.left), right: Math.min(innerWidth, edge.right) };
    const seen = inSight(frame);
    const here = seen.filter((s) => s.bottom > frame.top + 2 * TALL);
    const one = here[0];
    const row = one ? (view.strip ? here : [one]) : [];
    const gone = one && one.top < frame.top - 4;
    rail.classList.toggle("on", Boolean(gone));
    // Where the sheet scrolls by itself the rail stands on its edge.
    rail.style.setProperty("--wide", `${sheet.clientWidth}px`);
    if (gone) drawBars(row, frame);
    drawNames(seen, frame);
    const lead = sheet.scrollWidth > sheet.clientWidth + 2 ? LEAD : 24;
    const bar = row.flatMap(({ page, system }) => system.bars.map((m) => [m.bar, page.left + m.right * page.width])).find(([, right]) => right > frame.left + lead)?.[0];
    if (bar !== undefined && bar !== place) {
      place = bar;
      root.dataset.place = bar;
      root.dispatchEvent(new CustomEvent("score:place", { detail: { bar } }));
    }
  }

  function drawBars(row, frame) {
    const origin = rail.getBoundingClientRect().left;
    const marks = [];
    for (const { page, system } of row) {
      for (const m of system.bars) {
        const left = page.left + m.left * page.width, right = page.left + m.right * page.width;
        if (right < frame.left + 4 || left > frame.right) continue;
        marks.push({ bar: m.bar, end: m.last, left: Math.max(left, frame.left) - origin, right: Math.min(right, frame.right) - origin });
      }
    }
    bars.replaceChildren(...marks.map(({ bar, end, left, right }, n) => {
      const mark = box("rail-mark num");
      const letter = letters.get(bar) ?? (n ? null : since(bar));
      if (letter) { const b = document.createElement("b"); b.className = letters.has(bar) ? "letter" : "letter since"; b.textContent = letter; mark.append(b); }
      mark.append(view.span(bar, end));
      mark.dataset.bar = bar;
      const { first, last } = view.selection;
      mark.classList.toggle("on", first !== null && end >= first && bar <= last);
      mark.classList.toggle("sounding", bar <= (view.sounding ?? -1) && view.sounding <= end);
      mark.style.left = `${left}px`;
      mark.style.width = `${right - left}px`;
      return mark;
    }));
  }

  /** The letter one is in, if it began earlier in the movement. */
  function since(bar) {
    const before = (outline.letters ?? []).filter((m) => m.bar < bar && movementOf(m.bar, outline) === movementOf(bar, outline));
    return before.length ? before[before.length - 1].text : null;
  }

  // Names stand on the sheet itself and are drawn only when what they belong to changes.
  function drawNames(seen, frame) {
    // A printed name that is cut at the edge gives way to the whole one.
    const away = seen.filter(({ page, system }) => page.left < frame.left - 4 || page.left + system.left * page.width < frame.left + 12);
    sheet.classList.toggle("names-away", away.length > 0);
    const wanted = view.strip ? away.slice(0, 1) : away;
    const key = wanted.map(({ figure, system }) => `${view.generation}/${figure.dataset.page}/${system.bars[0].bar}/${view.zoom}/${figure.offsetTop}`).join(" ");
    if (key === drawn) return;
    drawn = key;
    if (!names.isConnected || names !== sheet.firstElementChild) sheet.prepend(names);
    names.replaceChildren(...wanted.flatMap(({ figure, page, system }) => staves(system).map(({ parts, top, bottom }) => {
      const name = box("rail-name");
      name.textContent = parts.map((part) => outline.parts.find((p) => p.id === part)?.label ?? "").join(", ");
      name.style.top = `${figure.offsetTop - names.offsetTop + (top + bottom) / 2 * page.height}px`;
      return name;
    })));
  }

  function staves(system) {
    const found = new Map();
    for (const s of system.bars[0].staves) if (!found.has(s.part)) found.set(s.part, s);
    const rows = [...found.values()];
    return rows.filter((s, n) => s.top !== rows[n - 1]?.top).map((s) => ({ ...s, parts: rows.filter((o) => o.top === s.top).map((o) => o.part) }));
  }

  const later = () => { asked ||= requestAnimationFrame(look); };
  addEventListener("scroll", later, { passive: true });
  addEventListener("resize", later);
  sheet.addEventListener("scroll", later, { passive: true });
  for (const name of ["score:ready", "score:selection", "score:scaled", "score:sounding"]) root.addEventListener(name, later);
  root.addEventListener("score:opened", () => { drawn = ""; later(); });
  rail.addEventListener("click", (event) => {
    const mark = event.target.closest(".rail-mark");
    if (mark) view.choose(Number(mark.dataset.bar), { extend: event.shiftKey });
  });
  return { get place() { return place; } };
}

function box(name) { const d = document.createElement("div"); d.className = name; return d; }
