// The tutor's score: findings of the chosen bars, notes, sound.
import { ScoreView } from "./score/viewer.js";
import { firstLeaf, movements, parseBars, readJson, setUpTools, typeBars } from "./score/tools.js";
import { playByKey, setUpSound } from "./score/sound.js";
import { setUpFindings } from "./score/findings.js";
import { showEvidence } from "./score/evidence.js";

const outline = readJson("outline");
const notes = readJson("notes") ?? [];
const root = document.getElementById("score");
const view = new ScoreView(root, outline);
setUpTools(view, { key: document.getElementById("desk").dataset.placeKey, passages: movements(outline), start: firstLeaf(outline) });
const player = document.getElementById("player");
const sound = player && setUpSound(player, view, outline);
const findings = setUpFindings(view, outline, { file: document.getElementById("desk").dataset.placeKey });
root.addEventListener("score:selection", (event) => {
  const { first, last, parts } = event.detail;
  if (first === null) return;
  for (const field of document.querySelectorAll("[data-bars]")) field.value = typeBars(first, last, outline);
  findings?.choose({ first, last, parts });
});
// A note of the short score shows what it was made from.
root.addEventListener("score:show", (event) => {
  view.dark();
  showEvidence(view, [event.detail], outline);
});
// A link to bars (#b=2-3) chooses them, so that the margin says what is there.
function chooseAsked() {
  const asked = parseBars(new URLSearchParams(location.hash.slice(1)).get("b"), outline);
  if (!asked) return;
  view.select(asked);
  root.dispatchEvent(new CustomEvent("score:selection", { detail: { ...asked, parts: [] } }));
}
chooseAsked();
window.addEventListener("hashchange", chooseAsked);
for (const button of document.querySelectorAll("[data-note]")) {
  button.addEventListener("click", () => {
    const note = notes.find((n) => n.id === button.dataset.note);
    view.dark();
    view.band([{ first: note.first, last: note.last, parts: note.lit, word: note.order ? `note ${note.order}` : "note" }]);
    view.reveal(note.first, note.last);
    if (note.sounding.length) sound?.play({ first: note.first, last: note.last, parts: note.sounding });
  });
}
if (sound) playByKey(sound);
