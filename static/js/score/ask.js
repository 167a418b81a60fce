// "What does this note sound?": any note, by pointer or keyboard, told in a few words beside it.

import { put, shareOf } from "./geometry.js";

const NEAR = 14; // px around a pointer within which a note is meant

export function setUpAsk(view, url) {
  const button = document.getElementById("ask-note");
  if (!button || !url) return;
  const { root, sheet } = view;
  const told = new Map();
  let on = false, here = null;
  const box = document.createElement("div");
  box.className = "note-told";
  box.setAttribute("role", "status");
  box.hidden = true;
  const ring = document.createElement("div");
  ring.className = "ring ring-asked";
  root.append(box);
  button.hidden = false;

  const heads = (scope) => [...scope.querySelectorAll("g[data-part] [data-id^=n]")].filter((n) => n.querySelector(".notehead"));
  const head = (note) => note.querySelector(".notehead").getBoundingClientRect();

  function turn(to) {
    on = to;
    button.setAttribute("aria-pressed", String(on));
    root.classList.toggle("asking", on);
    if (!on) { here = null; box.hidden = true; ring.remove(); return; }
    const { first, parts } = view.selection;
    const bar = first ?? Number(root.dataset.place ?? 0);
    const start = sheet.querySelector(`g[data-bar="${bar}"]`) ?? sheet.querySelector("g[data-bar]");
    const system = start?.closest("g.system");
    const notes = system ? heads(system).filter((n) => !parts.size || parts.has(partOf(n))) : [];
    const one = notes.filter((n) => barOf(n) >= bar).sort(byTime)[0] ?? notes[0];
    if (one) show(one); else say("", ["There is no note in these bars. Point at one."]);
  }

  const partOf = (note) => note.closest("g[data-part]").dataset.part;
  const barOf = (note) => Number(note.closest("g[data-bar]").dataset.bar);
  const byTime = (a, b) => barOf(a) - barOf(b) || head(a).left - head(b).left;

  async function show(note) {
    here = note;
    const id = note.dataset.id, figure = note.closest(".score-page");
    figure.append(ring);
    put(ring, shareOf(note.querySelector(".notehead"), figure.getBoundingClientRect()));
    if (!told.has(id)) {
      const answer = await fetch(url.replace("ID", id)).catch(() => null);
      if (answer?.ok) told.set(id, await answer.json());
      else if (answer?.status !== 404) { say("", ["That could not be fetched; try again."]); return; }
      else told.set(id, { title: "", lines: ["Nothing is told of this note."] });
    }
    if (here === note) say(told.get(id).title, told.get(id).lines, note);
  }

  function say(title, lines, note = null) {
    const name = document.createElement("strong");
    name.textContent = title;
    const text = document.createElement("span");
    text.textContent = lines.join("; ");
    box.replaceChildren(...(title ? [name, text] : [text]));
    box.hidden = false;
    place(note);
  }

  // Under the note, or above it where there is no room.
  function place(note = here) {
    const frame = root.getBoundingClientRect();
    if (!note?.isConnected) { box.style.left = "8px"; box.style.top = "8px"; return; }
    let at = head(note);
    if (at.top < 60 || at.bottom > innerHeight - 90 || at.left < frame.left || at.right > frame.right) {
      note.scrollIntoView({ block: "nearest", inline: "nearest", behavior: "instant" });
      at = head(note);
    }
    const below = at.bottom + 14 + box.offsetHeight < Math.min(innerHeight, sheet.getBoundingClientRect().bottom);
    box.style.left = `${Math.max(0, Math.min(at.left - frame.left - 12, frame.width - box.offsetWidth - 4))}px`;
    box.style.top = `${(below ? at.bottom + 14 : at.top - box.offsetHeight - 14) - frame.top}px`;
  }

  function near(event) {
    const figure = event.target.closest(".score-page");
    if (!figure) return null;
    const away = (b) => Math.hypot(event.clientX - (b.left + b.right) / 2, event.clientY - (b.top + b.bottom) / 2);
    const found = heads(figure).map((n) => [away(head(n)), n]).sort((a, b) => a[0] - b[0])[0];
    return found && found[0] <= Math.max(NEAR, head(found[1]).height) ? found[1] : null;
  }

  // Left and right lead along the staff, up and down to what sounds with it on the next one.
  function step(key) {
    const system = here.closest("g.system");
    if (key === "ArrowLeft" || key === "ArrowRight") {
      const by = key === "ArrowRight" ? 1 : -1;
      const systems = [...sheet.querySelectorAll("g.system")];
      const line = (s) => heads(s).filter((n) => partOf(n) === partOf(here)).sort(byTime);
      const next = line(system)[line(system).indexOf(here) + by];
      if (next) return next;
      for (let n = systems.indexOf(system) + by; n >= 0 && n < systems.length; n += by) {
        const there = line(systems[n]);
        if (there.length) return there[by > 0 ? 0 : there.length - 1];
      }
      return null;
    }
    const parts = [...new Set([...system.querySelectorAll("g[data-part]")].map((g) => g.dataset.part))];
    const by = key === "ArrowDown" ? 1 : -1;
    for (let n = parts.indexOf(partOf(here)) + by; n >= 0 && n < parts.length; n += by) {
      const there = heads(system).filter((m) => partOf(m) === parts[n]);
      if (there.length) return there.sort((a, b) => Math.abs(head(a).left - head(here).left) - Math.abs(head(b).left - head(here).left))[0];
    }
    return null;
  }

  button.addEventListener("click", () => turn(!on));
  sheet.addEventListener("click", (event) => {
    if (!on) return;
    const note = near(event);
    if (!note) return;
    event.stopPropagation();
    show(note);
  }, true);
  document.addEventListener("keydown", (event) => {
    if (event.target.closest("input, textarea, select, [contenteditable]") || event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key === "w") { turn(!on); return; }
    if (!on) return;
    if (event.key === "Escape") { turn(false); event.stopPropagation(); return; }
    if (!event.key.startsWith("Arrow") || !here) return;
    event.preventDefault();
    event.stopPropagation();
    const next = step(event.key);
    if (next) show(next);
  }, true);
  for (const name of ["score:opened"]) root.addEventListener(name, () => { if (on) turn(false); });
  root.addEventListener("score:scaled", () => { if (on) place(); });
  sheet.addEventListener("scroll", () => { if (on && here) box.hidden = true; }, { passive: true });
}
