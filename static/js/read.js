// The reading page: score, the tutor's walk, statements, sound.

import { freshKeys } from "./keys.js";
import { keepOffline } from "./offline/offline.js";
import { ScoreView } from "./score/viewer.js";
import { setUpBeside } from "./score/beside.js";
import { firstLeaf, movements, readJson, setUpTools, typeBars } from "./score/tools.js";
import { TYPED, playByKey, setUpSound } from "./score/sound.js";
import { setUpAnswers } from "./score/answers.js";
import { setUpDrill } from "./drill.js";
import { setUpOtherwise } from "./otherwise.js";
import { setUpStatements } from "./statements.js";

const outline = readJson("outline");
const notes = readJson("notes") ?? [];
const desk = document.getElementById("desk");
const root = document.getElementById("score");
const view = new ScoreView(root, outline);
keepOffline(desk.dataset.offlineUrl);
// The passage asked about comes first: it is engraved in a moment, a whole symphony is not.
const prompts = [...document.querySelectorAll("button[data-prompt]")].map((button) => ({
  first: Number(button.dataset.first), last: Number(button.dataset.last),
}));
const asked = prompts[0];
const tools = setUpTools(view, { key: desk.dataset.placeKey, passages: [...prompts, ...movements(outline)], start: asked ?? firstLeaf(outline), follow: true, beside: setUpBeside(view) });
const sound = setUpSound(document.getElementById("player"), view, outline);

// --- the tutor's walk ---------------------------------------------------------
let at = -1;
const noteBox = document.getElementById("walk-note");
const sayWhere = document.getElementById("walk-at");

function stop(number, { play = true } = {}) {
  if (!notes.length) return;
  at = Math.min(notes.length - 1, Math.max(0, number));
  const note = notes[at];
  noteBox.replaceChildren();
  const bars = document.createElement("span");
  bars.className = "bars";
  bars.textContent = `${note.bars} `;
  noteBox.append(bars, ...note.text.split("\n").flatMap((line, i) => (i ? [document.createElement("br"), line] : [line])));
  sayWhere.textContent = `${at + 1} of ${notes.length}`;
  noteBox.dispatchEvent(new CustomEvent("margin:wanted", { bubbles: true }));
  view.dark();
  view.band([{ first: note.first, last: note.last, parts: note.lit, word: note.order ? `note ${note.order}` : "note" }]);
  view.reveal(note.first, note.last);
  if (play && note.sounding.length) sound.play({ first: note.first, last: note.last, parts: note.sounding });
}
document.getElementById("walk-next")?.addEventListener("click", () => stop(at + 1));
document.getElementById("walk-back")?.addEventListener("click", () => stop(at - 1));
for (const button of document.querySelectorAll("[data-note]")) {
  button.addEventListener("click", () => stop(notes.findIndex((n) => n.id === button.dataset.note)));
}
if (notes.length && noteBox) {
  noteBox.textContent = "Press Next: your tutor leads you through the page, note by note.";
}

// --- prompts and statements -----------------------------------------------------
if (document.getElementById("statement")) setUpStatements({ desk, view, outline });
for (const button of document.querySelectorAll("button[data-prompt]")) {
  const look = () => {
    const passage = { first: Number(button.dataset.first), last: Number(button.dataset.last) };
    view.select(passage);
    if (view.shows(passage.first) && view.shows(passage.last)) view.goTo(passage.first);
    else tools.show(passage);
  };
  button.addEventListener("click", look);
  button.addEventListener("prompt:shown", look);
}

setUpDrill(view);
setUpOtherwise(view, sound);

// --- released evidence ----------------------------------------------------------
setUpAnswers(view, outline, sound);

// --- finds ------------------------------------------------------------------------
freshKeys();
root.addEventListener("score:selection", (event) => {
  const { first, last } = event.detail;
  if (first === null) return;
  for (const field of document.querySelectorAll(".find-form [data-bars]")) field.value = typeBars(first, last, outline);
});

// --- keys ---------------------------------------------------------------------------
playByKey(sound);
document.addEventListener("keydown", (event) => {
  if (event.target.closest(TYPED) || event.ctrlKey || event.metaKey || event.altKey) return;
  if (event.key === "n") stop(at + 1);
  if (event.key === "b") stop(at - 1);
  if (event.key === "s") { event.preventDefault(); (document.querySelector("[data-answer]") ?? document.getElementById("s-bars"))?.click(); }
});
