// The tools above a score: what is shown, bar, size, pitch, parts. Keeps the place over a reload.

import { setUpAsk } from "./ask.js";
import { missingBar, movementOf, parseBars, readAddress, typeBars } from "./bars.js";
import { familyButtons } from "./families.js";
import { setUpFoot } from "./foot.js";
import { setUpLayers } from "./layers.js";
import { setUpPlace } from "./place.js";
import { setUpPrinting } from "./printing.js";
import { setUpRails } from "./rails.js";
import { setUpStaves } from "./staves.js";
import { passageFrom } from "./viewer.js";

export { parseBars, typeBars };

const LARGE = 2500; // staff-bars: a score above it is opened by passages, whole on demand
const SIZES = [0.5, 0.64, 0.8, 1, 1.25, 1.6, 2, 2.5, 3.2, 4];
const LEAF = 12; // bars of a passage of a large score

export function readJson(id) {
  const element = document.getElementById(id);
  return element ? JSON.parse(element.textContent) : null;
}

/** Movements as passages, where there are several. */
export function movements(outline) {
  if (outline.movements.length < 2) return [];
  return outline.movements.map((m, n) => ({ first: m.first, last: m.last, name: m.title || `Movement ${n + 1}` }));
}

/** The first passage of a large score; null for one that is engraved whole in a moment. */
export function firstLeaf(outline) {
  return outline.bars.length * outline.parts.length > LARGE ? passageFrom(outline, 0, LEAF - 1) : null;
}

/**
 * @param passages {first, last, name?} one may choose to look at; @param start the one to begin with
 * @param follow whether the address follows the place; @param beside the second place, if any
 */
export function setUpTools(view, { key, passages = [], start = null, follow = false, beside = null }) {
  const at = `place:${key}`;
  const kept = JSON.parse(localStorage.getItem(at) ?? "{}");
  const remember = (more) => { Object.assign(kept, more); localStorage.setItem(at, JSON.stringify(kept)); };
  const $ = (id) => document.getElementById(id);
  $("tools-more")?.addEventListener("click", (event) => { // on a telephone
    const more = $("score-tools").classList.toggle("more");
    event.currentTarget.setAttribute("aria-expanded", String(more));
  });
  view.root.addEventListener("score:selection", ({ detail: { first, last } }) => {
    for (const word of document.querySelectorAll("[data-chosen]")) word.textContent = first === null ? "" : `· ${view.span(first, last)}`;
  });
  const pitch = $("pitch-view");
  if (kept.pitch && pitch) pitch.value = kept.pitch;
  const layout = $("layout-view");
  if (kept.layout && layout) layout.value = kept.layout;
  if (kept.zoom) view.scale(kept.zoom);
  setUpRails(view);
  const staves = setUpStaves(view, { kept, remember });
  if (staves.own && start && !passages.includes(start)) start = null; // one part is soon engraved whole
  setUpAsk(view, $("ask-note")?.dataset.url);
  setUpLayers(view, $("layers")?.dataset.url);
  setUpPrinting(view);
  const place = follow ? setUpPlace(view, { remember, beside }) : null;
  const leap = (to) => (place ? place.leap(to) : view.goTo(to.first, to.last));
  const parse = (text) => (place ? place.parse(text) : parseBars(text, view.outline));
  const shown = shownField(view, passages);
  const boxes = () => [...document.querySelectorAll("[name=show-part]")];
  const open = (passage = { first: view.view?.first, last: view.view?.last }, near = null) => {
    const chosen = boxes().filter((b) => b.checked).map((b) => b.value);
    const all = chosen.length === boxes().length;
    const { first, last } = passage ?? {};
    return view.open({ first, last, ...staves.asked, pitch: pitch?.value ?? "written", layout: layout?.value || undefined, resting: $("hide-resting")?.checked ? "hide" : undefined, parts: staves.own ? [staves.own] : all ? [] : chosen }, { near });
  };
  // The line goes on to the end of its movement.
  const line = (bar) => {
    const { first, last } = view.outline.movements[movementOf(bar, view.outline)];
    open(view.outline.movements.length > 1 ? { first, last } : null, bar);
  };
  shown?.addEventListener("change", () => {
    const [first, last] = shown.value.split("-").map(Number);
    open(shown.value ? { first, last } : null);
  });
  // Leafing: the passage before or after the one shown, of the same length.
  const beyond = (by, { first, last }) => {
    const length = Math.max(8, last - first + 1);
    const to = by > 0 ? last + 1 : first - length;
    const bars = view.outline.bars.length;
    if (by > 0 ? to >= bars : !first) return null;
    return passageFrom(view.outline, by > 0 ? to : Math.max(0, to), by > 0 ? Math.min(bars - 1, to + length - 1) : first - 1);
  };
  const leaf = (by) => { const to = beyond(by, view.view); if (to) open(to); };
  setUpFoot(view, beyond, open);
  $("leaf-back")?.addEventListener("click", () => leaf(-1));
  $("leaf-on")?.addEventListener("click", () => leaf(1));
  view.root.addEventListener("score:opened", (event) => {
    const { first, last } = event.detail;
    if (!$("leaf-back")) return;
    $("leaf-back").disabled = !first;
    $("leaf-on").disabled = first === undefined || last >= view.outline.bars.length - 1;
  });
  $("go-bar")?.addEventListener("change", async (event) => {
    const to = parse(event.target.value);
    event.target.setCustomValidity(to ? "" : "There is no such bar.");
    event.target.reportValidity();
    if (to) { const mark = await leap(to); mark?.focus({ preventScroll: true }); }
  });
  lettersField(view.outline, async (bar) => { const mark = await leap({ first: bar, last: bar }); mark?.focus({ preventScroll: true }); });
  const next = (by) => (by > 0 ? SIZES.find((z) => z > view.zoom + 0.01) ?? 4 : SIZES.findLast((z) => z < view.zoom - 0.01) ?? 0.5);
  const resize = (factor) => { view.scale(factor); remember({ zoom: view.zoom }); };
  const size = () => { if ($("size-now")) $("size-now").textContent = `${Math.round(view.zoom * 100)} %`; };
  view.root.addEventListener("score:scaled", size);
  size();
  $("smaller")?.addEventListener("click", () => resize(next(-1)));
  $("larger")?.addEventListener("click", () => resize(next(1)));
  document.addEventListener("keydown", (event) => {
    if (event.target.closest("input, textarea, select, [contenteditable]") || event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key === "+" || event.key === "-") resize(next(event.key === "+" ? 1 : -1));
    if (event.key === "0") resize(1);
    if (event.key === "g" && $("go-bar")) { event.preventDefault(); $("go-bar").select(); }
  });
  // A line goes on to the end of the movement; pages come back to the passage one reads.
  layout?.addEventListener("change", async () => {
    remember({ layout: layout.value });
    const bar = place?.bar ?? view.cursor ?? view.view?.first ?? 0;
    const large = firstLeaf(view.outline);
    if (layout.value) line(bar);
    else open(large && passageFrom(view.outline, bar - 1, bar + LEAF - 2));
    await view.goTo(bar, bar, { block: "start" });
  });
  // One part is shown whole; the score comes back at the passage one reads.
  staves.changed(async ({ was }) => {
    const bar = place?.bar ?? view.cursor ?? view.view?.first ?? 0;
    const large = firstLeaf(view.outline);
    if (staves.own) open(passages.find((p) => p.first === view.view?.first && p.last === view.view?.last) ?? null);
    else open(was && large && !view.strip ? passageFrom(view.outline, bar - 1, bar + LEAF - 2) : undefined);
    await view.goTo(bar, bar, { block: "start" });
  });
  document.addEventListener("reader:changed", async (event) => {
    if (event.detail.name !== "staff") return;
    const bar = place?.bar ?? view.cursor ?? view.view?.first ?? 0;
    open(undefined, bar);
    await view.goTo(bar, bar, { block: "start" });
  });
  pitch?.addEventListener("change", () => { remember({ pitch: pitch.value }); open(); });
  const some = () => { const none = !boxes().some((b) => b.checked); $("show-parts").disabled = none; };
  for (const box of boxes()) box.addEventListener("change", some);
  // Rests count over a passage: the bars chosen, else those shown.
  let before = null;
  $("hide-resting")?.addEventListener("change", (event) => {
    const { first, last } = view.selection;
    if (event.target.checked) before = { first: view.view?.first, last: view.view?.last };
    open(!event.target.checked ? before ?? undefined : first !== null && last > first ? { first, last } : undefined);
  });
  familyButtons(view.outline, boxes, some);
  $("show-parts")?.addEventListener("click", () => open());
  $("all-parts")?.addEventListener("click", () => { for (const b of boxes()) b.checked = true; some(); open(); });
  $("no-parts")?.addEventListener("click", () => { for (const b of boxes()) b.checked = false; some(); });
  view.root.addEventListener("score:selection", (event) => { if (!follow) remember({ bar: event.detail.first }); });
  const wanted = readAddress(location.hash, view.outline).b;
  const missing = missingBar(location.hash, view.outline);
  if (missing) sayMissing(view, missing);
  const at0 = wanted?.first ?? (passages.includes(start) ? start.first : kept.bar) ?? null;
  if (layout?.value && !passages.includes(start)) line(at0 ?? 0);
  else if (start && (at0 === null || (at0 >= start.first && at0 <= start.last))) open(start);
  else if (start) open(passageFrom(view.outline, at0 - 1, Math.max(wanted?.last ?? 0, at0 + LEAF - 2)));
  else open(null);
  if (at0 !== null && place) place.leap(wanted ?? { first: at0 }, { step: false });
  else if (at0 !== null) view.goTo(at0);
  return { open, show: (passage) => open(passage), remember, leap };
}

// A link to a bar that is not there says so, until one has gone somewhere else.
function sayMissing(view, label) {
  const said = document.createElement("p");
  said.className = "doubt no-bar";
  said.setAttribute("role", "status");
  view.root.before(said);
  const { bars } = view.outline;
  said.textContent = `There is no bar ${label} in this score: its bars go from ${bars[0].label} to ${bars.at(-1).label}. It opens where you were last.`;
  view.root.addEventListener("score:selection", () => said.remove(), { once: true });
}

// Rehearsal letters, where the score has any.
function lettersField(outline, go) {
  const select = document.getElementById("go-letter");
  if (!select || !outline.letters?.length) return;
  const several = outline.movements.length > 1;
  const name = (m) => (several ? `${m.text} (${outline.movements[movementOf(m.bar, outline)]?.title || `movement ${movementOf(m.bar, outline) + 1}`})` : m.text);
  for (const m of outline.letters) select.add(new Option(name(m), m.bar));
  select.closest(".field").hidden = false;
  select.addEventListener("change", () => { if (select.value !== "") go(Number(select.value)); select.value = ""; });
}

// "Shown": the passages asked about, the movements, the whole. Hidden where there is no choice.
function shownField(view, passages) {
  const select = document.getElementById("shown");
  if (!select) return null;
  const value = (p) => (p?.first === undefined || p.first === null ? "" : `${p.first}-${p.last}`);
  const add = (p, name) => { if (![...select.options].some((o) => o.value === value(p))) select.add(new Option(name, value(p))); };
  for (const p of passages) add(p, p.name ?? `bars ${view.span(p.first, p.last)}`);
  add(null, passages.some((p) => p.name) ? "the whole score" : "the whole movement");
  const choice = () => { select.closest(".field").hidden = select.options.length < 2; };
  choice();
  view.root.addEventListener("score:opened", (event) => {
    const p = event.detail;
    add(p, p.first === undefined ? "the whole" : `bars ${view.span(p.first, p.last)}`);
    select.value = value(p);
    choice();
  });
  return select;
}
