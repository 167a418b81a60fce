// Layers on the notes: bands behind the staves with an edge, a pattern and a word at the start.
// What one may see is the server's to say; nothing of a layer is on the page before it is asked for.

import { put } from "./geometry.js";

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
      list.append(item);
      tick.addEventListener("change", () => turn(layer.name, tick.checked));
    }
    box.hidden = names.length === 0;
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
    const rows = new Map(); // words that begin on the same staff stand one above the other
    for (const mark of answer.marks) band(mark, page, box, page.notes, layer, rows);
    page.figure.prepend(layer); // last: before it nothing but boxes is read
  }

  function band(mark, page, box, notes, layer, rows) {
    for (const id of mark.ids) {
      for (const note of notes.get(id) ?? []) note.dataset.layers = [...new Set([...(note.dataset.layers?.split(" ") ?? []), mark.layer])].join(" ");
    }
    for (const system of page.systems) {
      const bars = system.bars.filter((m) => m.last >= mark.first && m.bar <= mark.last);
      if (!bars.length) continue;
      if (!mark.parts.length) { lay(mark, layer, { left: bars[0].left, right: bars[bars.length - 1].right, top: system.top - 0.006, bottom: system.top - 0.003 }, true, rows, `${page.figure.dataset.page}/${system.top}`); continue; }
      mark.parts.forEach((part, n) => {
        const staves = bars.flatMap((m) => m.staves.filter((s) => s.part === part));
        if (!staves.length) return;
        const index = view.outline.parts.find((p) => p.id === part)?.index; // as note ids begin
        const own = mark.ids.filter((id) => id.startsWith(`n${index}-`)).flatMap((id) => notes.get(id) ?? []).map((note) => note.getBoundingClientRect())
          .filter((b) => { const y = (b.top - box.top) / box.height; return y > system.top - 0.05 && y < system.bottom + 0.05; });
        if (!own.length) return;
        const at = { left: (Math.min(...own.map((b) => b.left)) - box.left) / box.width - 0.003, right: (Math.max(...own.map((b) => b.right)) - box.left) / box.width + 0.003,
          top: Math.min(...staves.map((s) => s.top)), bottom: Math.max(...staves.map((s) => s.bottom)) };
        lay(mark, layer, at, n === 0, rows, `${system.top}/${part}`);
      });
    }
  }

  function lay(mark, layer, at, said, rows, row) {
    const one = put(document.createElement("div"), at);
    one.className = `lay lay-${mark.layer} group-${mark.group}`;
    if (said) {
      const word = document.createElement("span");
      word.className = "lay-word";
      word.textContent = mark.word;
      const before = rows.get(row) ?? [];
      const level = before.filter((b) => Math.abs(b - at.left) < 0.12).length;
      before.push(at.left);
      rows.set(row, before);
      word.dataset.level = Math.min(level, 3);
      one.append(word);
    }
    layer.append(one);
  }

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
