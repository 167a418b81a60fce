// The bars chosen, as a short score above the engraving. Its notes know those they were made from.
import { ScoreView } from "./score/viewer.js";
import { readJson, typeBars } from "./score/tools.js";

const POLL = 700;
const box = document.getElementById("short-score");
const score = document.getElementById("score");
const sheet = box.querySelector("[data-sheet]");
const say = box.querySelector("[data-say]");
const said = box.querySelector("[data-said]");
const outline = readJson("outline");
const bars = (first, last) => (first === last ? `Bar ${typeBars(first, last, outline)}` : `Bars ${typeBars(first, last, outline).replace("-", "–")}`);
let view = null, chosen = null, shown = "", wait = null, turn = 0;

async function show() {
  if (!box.open || !chosen) return;
  const { first, last } = chosen;
  if (shown === `${first}-${last}`) return;
  shown = `${first}-${last}`;
  const mine = ++turn;
  say.textContent = "The short score is being made…";
  said.replaceChildren();
  sheet.hidden = true;
  const state = await made(first, last, mine);
  if (mine !== turn || !state) return;
  const problem = state.detail || state.problem;
  say.textContent = problem || bars(first, last);
  if (problem) { shown = ""; return; }
  for (const sentence of state.said) said.append(Object.assign(document.createElement("li"), { textContent: sentence }));
  if (!state.pages) return;
  sheet.hidden = false;
  view ??= new ScoreView(sheet, outline);
  view.open({ first, last, file: box.dataset.file });
}

// Asks until the worker has made it; null when it was overtaken by another choice.
async function made(first, last, mine) {
  const query = new URLSearchParams({ first, last, file: box.dataset.file });
  if (box.clientWidth < 620) query.set("sheet", 110); // as the viewer asks, so that it is made once
  else if (last - first < 8) query.set("sheet", 150);
  for (let tries = 0; tries < 200; tries += 1) {
    const answer = await fetch(`${sheet.dataset.viewUrl}?${query}`, { headers: { Accept: "application/json" } });
    const state = answer.ok || answer.status === 400 ? await answer.json() : { problem: "The short score could not be fetched; choose the bars again." };
    if (mine !== turn) return null;
    if (state.detail || state.problem || (state.pages !== null && state.ready >= state.pages)) return state;
    await new Promise((done) => { setTimeout(done, POLL); });
    if (mine !== turn) return null;
  }
  return { problem: "The short score takes unusually long; choose the bars again." };
}

score.addEventListener("score:selection", (event) => {
  const { first, last } = event.detail;
  if (first === null) return;
  chosen = { first, last };
  clearTimeout(wait);
  wait = setTimeout(show, 400);
});
box.addEventListener("toggle", show);
sheet.addEventListener("click", (event) => {
  const note = event.target.closest("[data-from]");
  if (note) score.dispatchEvent(new CustomEvent("score:show", { detail: { ids: note.dataset.from.split(" ") } }));
});
// By keyboard: the bar's number shows all that the short score took from that bar.
sheet.addEventListener("score:selection", (event) => {
  const { first, last } = event.detail;
  const notes = [...sheet.querySelectorAll("[data-from]")].filter((n) => {
    const bar = Number(n.closest("[data-bar]")?.dataset.bar);
    return first !== null && bar >= first && bar <= last;
  });
  const ids = notes.flatMap((n) => n.dataset.from.split(" "));
  if (ids.length && !sheet.querySelector("[data-from]:hover")) score.dispatchEvent(new CustomEvent("score:show", { detail: { ids } }));
});
