// Layers on the notes: bands behind the staves with an edge, a pattern and a word at the start.
// What one may see is the server's to say; nothing of a layer is on the page before it is asked for.

import { put } from "./geometry.js";

const GROUPS = { leading: "leading lines", ground: "bass", harmony: "harmony", rhythm: "rhythm" };
const EDGE = 3; // px of a band's own edge; as .lay
const STEP = 13; // px from one place tried for a word to the next

export function setUpLayers(view, url) {
  const box = document.getElementById("layers");
  if (!box || !url) return;
  const { root } = view;
  const list = box.querySelector("ul");
  const on = new Set();
  const drawn = new Map(); // figure -> what is drawn on it
  const status = box.querySelector("[role=status]");
  let names = [];

  const ask = async (first, last, layers) => {
    const query = new URLSearchParams({ first, last, layers: [...layers].join(",") });
    const answer = await fetch(`${url}?${query}`).catch(() => null);
    return answer?.ok ? answer.json() : null;
  };
  const barsOf = ({ systems }) => { const bars = systems.flatMap((s) => s.bars.flatMap((m) => [m.bar, m.last])); return [Math.min(...bars), Math.max(...bars)]; };

  // The choice: what the tutor allows over any of the bars shown.
  async function offer(page) {
    const [first, last] = barsOf(page);
    const answer = await ask(first, last, []);
    const fresh = (answer?.allowed ?? []).filter((l) => !names.some((n) => n.name === l.name));
    for (const layer of fresh) {
      names.push(layer);
      const item = document.createElement("li"), label = document.createElement("label"), tick = document.createElement("input"), swatch = document.createElement("span"), key = document.createElement("kbd");
      tick.type = "checkbox"; tick.value = layer.name;
      swatch.className = `swatch lay-${layer.name}`;
      key.textContent = names.length;
      label.append(tick, swatch, layer.label, key);
      item.append(label);
      if (layer.name === "roles") item.append(legend()); // each group its own pattern and hue
      list.append(item);
      tick.addEventListener("change", () => turn(layer.name, tick.checked));
    }
    box.hidden = names.length === 0;
  }

  function legend() {
    const groups = document.createElement("span");
    groups.className = "layer-groups";
    for (const [group, word] of Object.entries(GROUPS)) {
      const swatch = document.createElement("span");
      swatch.className = `swatch lay-roles group-${group}`;
      groups.append(swatch, word);
    }
    return groups;
  }

  function turn(name, to) {
    if (to) on.add(name); else on.delete(name);
    list.querySelector(`[value="${name}"]`).checked = to;
    const label = names.find((n) => n.name === name).label;
    status.textContent = to ? `${label}: shown` : `${label}: hidden`;
    drawn.clear();
    for (const page of view.pages.values()) draw(page);
  }

  async function draw(page) {
    const want = [...on].sort().join(",");
    if (drawn.get(page.figure) === want) return;
    drawn.set(page.figure, want);
    const [first, last] = barsOf(page);
    const answer = on.size ? await ask(first, last, on) : { marks: [] };
    if (drawn.get(page.figure) !== want || !page.figure.isConnected) return;
    if (!answer) { drawn.delete(page.figure); status.textContent = "The layers could not be fetched; switch them on again."; return; }
    page.figure.querySelector(".score-layers")?.remove();
    for (const note of page.figure.querySelectorAll("[data-layers]")) delete note.dataset.layers;
    const layer = document.createElement("div");
    layer.className = "score-layers";
    const box = page.figure.getBoundingClientRect();
    for (const mark of answer.marks) band(mark, page, box, page.notes, layer);
    page.figure.prepend(layer); // last: before it nothing but boxes is read
    placeWords(page.figure);
  }

  function band(mark, page, box, notes, layer) {
    for (const id of mark.ids) {
      for (const note of notes.get(id) ?? []) note.dataset.layers = [...new Set([...(note.dataset.layers?.split(" ") ?? []), mark.layer])].join(" ");
    }
    for (const system of page.systems) {
      const bars = system.bars.filter((m) => m.last >= mark.first && m.bar <= mark.last);
      if (!bars.length) continue;
      if (!mark.parts.length) { lay(mark, layer, { left: bars[0].left, right: bars[bars.length - 1].right, top: system.top - 0.006, bottom: system.top - 0.003 }, true); continue; }
      mark.parts.forEach((part, n) => {
        const staves = bars.flatMap((m) => m.staves.filter((s) => s.part === part));
        if (!staves.length) return;
        const index = view.outline.parts.find((p) => p.id === part)?.index; // as note ids begin
        const own = mark.ids.filter((id) => id.startsWith(`n${index}-`)).flatMap((id) => notes.get(id) ?? []).map((note) => note.getBoundingClientRect())
          .filter((b) => { const y = (b.top - box.top) / box.height; return y > system.top - 0.05 && y < system.bottom + 0.05; });
        if (!own.length) return;
        const at = { left: (Math.min(...own.map((b) => b.left)) - box.left) / box.width - 0.003, right: (Math.max(...own.map((b) => b.right)) - box.left) / box.width + 0.003,
          top: Math.min(...staves.map((s) => s.top)), bottom: Math.max(...staves.map((s) => s.bottom)) };
        lay(mark, layer, at, n === 0);
      });
    }
  }

  function lay(mark, layer, at, said) {
    const one = put(document.createElement("div"), at);
    one.className = `lay lay-${mark.layer} group-${mark.group}`;
    if (said) {
      const word = document.createElement("span");
      word.className = "lay-word";
      word.textContent = mark.word;
      one.append(word);
    }
    layer.append(one);
  }

  root.addEventListener("score:scaled", () => { if (on.size) for (const { figure } of view.pages.values()) placeWords(figure); });
  root.addEventListener("score:ready", (event) => {
    const page = view.pages.get(event.detail.page);
    if (!page) return;
    offer(page);
    if (on.size) draw(page);
  });
  root.addEventListener("score:opened", () => drawn.clear());
  document.addEventListener("keydown", (event) => {
    if (event.target.closest("input:not([type=checkbox]), textarea, select, [contenteditable]") || event.ctrlKey || event.metaKey || event.altKey) return;
    const name = /^[1-9]$/.test(event.key) ? names[Number(event.key) - 1]?.name : null;
    if (name) turn(name, !on.has(name));
  });
}

// A word stands at the start of its band, above or below it, where it lies on no note, sign or other
// word; where there is no such place near, on the fewest.
function placeWords(figure) {
  const words = [...figure.querySelectorAll(".lay-word")];
  const heads = [...figure.querySelectorAll(".notehead")].map((e) => e.getBoundingClientRect());
  const signs = [...figure.querySelectorAll(".accid, .dynam, .dir, .tempo")].map((e) => e.getBoundingClientRect());
  const boxes = words.map((word) => [word, word.getBoundingClientRect(), word.parentElement.getBoundingClientRect()]);
  const edge = figure.getBoundingClientRect();
  const taken = [], found = [];
  for (const [word, { width, height }, band] of boxes) {
    const around = (h) => h.bottom > band.top - 140 && h.top < band.bottom + 140 && h.right > band.left - 4 && h.left < band.right + width + 4;
    const near = heads.filter(around), soft = signs.filter(around);
    let best = null;
    for (const [top, cost] of rowsAround(band, height)) {
      for (let left = band.left; left <= Math.max(band.left, band.right - width); left += Math.max(STEP, width / 2)) {
        if (left + width > edge.right && left > band.left) break;
        const place = { left, right: left + width, top, bottom: top + height };
        const bad = near.filter((h) => meet(h, place)).length * 1000 + soft.filter((h) => meet(h, place)).length * 30 + taken.filter((t) => meet(t, place)).length * 60 + cost + (left - band.left) / 40;
        if (!best || bad < best.bad) best = { bad, place };
        if (best.bad < 30 && left === band.left) break;
      }
    }
    taken.push(best.place);
    found.push([word, best.place.left - band.left - EDGE, best.place.top - band.top]);
  }
  for (const [word, left, top] of found) { word.style.left = `${left}px`; word.style.top = `${top}px`; }
}

// Heights to try: above the band, below it, then further away; what is far costs more.
function rowsAround(band, height) {
  const rows = [];
  for (let n = 0; n < 8; n += 1) {
    rows.push([band.top - height - 1 - n * STEP, n * 2], [band.bottom + 1 + n * STEP, n * 2 + 1]);
  }
  return rows;
}

function meet(a, b) { return a.left < b.right && a.right > b.left && a.top < b.bottom && a.bottom > b.top; }
