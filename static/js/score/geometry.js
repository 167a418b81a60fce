// Where systems, bars and staves stand on an engraved page, in shares of the page,
// so that zooming changes nothing.

export function measured(figure) {
  const page = figure.getBoundingClientRect();
  const share = (element) => shareOf(element, page);
  const systems = [];
  for (const g of figure.querySelectorAll("g.system")) {
    const bars = [...g.querySelectorAll("g[data-bar]")].map((bar) => barOf(bar, share)).filter(Boolean);
    if (bars.length) systems.push({ ...around(bars), inkTop: Math.min(...inked(g).map((e) => share(e).top)), bars });
  }
  return systems;
}

// What is printed and may be the highest: signs of a bar, and the notes of its first part, not those
// of the parts below. Signs of the music face are left out where they stand in a text: the box of
// such a text is many times as high as its ink.
function inked(system) {
  const printed = (e) => e.tagName !== "tspan" || (!e.firstElementChild && !e.closest("[font-family], .mNum"));
  const inside = [...system.children].flatMap((child) => (child.dataset.bar ? [...child.children] : [child]));
  const top = system.querySelector("g[data-part]")?.dataset.part;
  return inside.filter((g) => !g.dataset.part || g.dataset.part === top)
    .flatMap((g) => (g.matches("use, path, tspan") ? [g] : [...g.querySelectorAll("use, path, tspan")])).filter(printed);
}

function barOf(g, share) {
  const staves = [...g.querySelectorAll("g[data-part]")].flatMap((staff) => {
    const lines = [...staff.children].filter((c) => ["path", "polyline", "rect"].includes(c.tagName) && !c.hasAttribute("class"));
    const boxes = (lines.length ? [lines[0], lines[lines.length - 1]] : [staff]).map(share);
    // Two parts that share a staff have the same place.
    return [staff.dataset.part, ...(staff.dataset.with?.split(" ") ?? [])].map((part) => ({ part, ...around(boxes) }));
  });
  const bar = Number(g.dataset.bar);
  return staves.length ? { bar, last: Number(g.dataset.last ?? bar), ...around(staves), staves } : null; // a counted rest reaches further
}

/** The notes and rests of a page by their ids; one may stand on two staves. */
export function notesOf(figure) {
  const notes = new Map();
  for (const n of figure.querySelectorAll("[data-id^=n]")) {
    const there = notes.get(n.dataset.id);
    if (there) there.push(n); else notes.set(n.dataset.id, [n]);
  }
  return notes;
}

function around(boxes) {
  return {
    left: Math.min(...boxes.map((b) => b.left)), right: Math.max(...boxes.map((b) => b.right)),
    top: Math.min(...boxes.map((b) => b.top)), bottom: Math.max(...boxes.map((b) => b.bottom)),
  };
}

/** Boxes over bars first..last of a system: one for the whole system, or one for each part named. */
export function runs(system, first, last, parts = []) {
  const bars = system.bars.filter((m) => m.last >= first && m.bar <= last);
  if (!bars.length) return [];
  if (!parts.length) return [around(bars)];
  const ids = [...new Set(bars.flatMap((m) => m.staves.map((s) => s.part)))].filter((id) => parts.includes(id));
  return ids.map((id) => around(bars.flatMap((m) => m.staves.filter((s) => s.part === id))));
}

/** Where an element stands on a page, the page given by its box in the window. */
export function shareOf(element, page) {
  const box = element.getBoundingClientRect();
  return {
    left: (box.left - page.left) / page.width, right: (box.right - page.left) / page.width,
    top: (box.top - page.top) / page.height, bottom: (box.bottom - page.top) / page.height,
  };
}

/** A box given in shares of a page, in pixels of the window. */
export function onScreen(box, figure) {
  const page = figure.getBoundingClientRect();
  return {
    left: page.left + box.left * page.width, right: page.left + box.right * page.width,
    top: page.top + box.top * page.height, bottom: page.top + box.bottom * page.height,
  };
}

export function put(element, box) {
  element.style.left = `${box.left * 100}%`;
  element.style.width = `${(box.right - box.left) * 100}%`;
  element.style.top = `${box.top * 100}%`;
  if (box.bottom > box.top) element.style.height = `${(box.bottom - box.top) * 100}%`;
  return element;
}

/** The bar and part under a pointer, or null far from any staff. */
export function under(systems, x, y) {
  const off = (box) => (y < box.top ? box.top - y : y > box.bottom ? y - box.bottom : 0);
  const near = systems.flatMap((s) => s.bars).filter((m) => x >= m.left && x <= m.right).sort((a, b) => off(a) - off(b))[0];
  if (!near || off(near) > 0.05) return null;
  const staff = [...near.staves].sort((a, b) => off(a) - off(b))[0];
  return { bar: near.bar, part: staff?.part ?? null };
}
