// Answers given back, beside the score: the notes shown, their lines heard alone, the thread opened
// in its place. Without script the thread has a page of its own.

import { showEvidence } from "./evidence.js";

const MOST = 4; // lines that are offered one by one
const LOST = "The thread could not be reached. What you wrote is still here; try again when the connection is back.";

export function setUpAnswers(view, outline, sound) {
  for (const button of document.querySelectorAll("[data-show-evidence]")) {
    const evidence = JSON.parse(document.getElementById(button.dataset.showEvidence).textContent);
    button.addEventListener("click", () => {
      view.dark();
      showEvidence(view, evidence, outline);
    });
    if (sound.given) button.after(...heard(evidence, outline, sound));
  }
  document.addEventListener("htmx:afterSwap", ({ target }) => {
    if (target.matches(".answer-thread")) target.querySelector("textarea")?.focus();
  });
  for (const name of ["htmx:sendError", "htmx:responseError"]) {
    document.addEventListener(name, (event) => {
      const box = event.target.closest(".answer")?.querySelector(".answer-thread");
      if (!box) return;
      const said = box.querySelector("[role=alert]") ?? document.createElement("p");
      said.setAttribute("role", "alert");
      said.textContent = LOST;
      box.append(said);
    });
  }
}

// Buttons for the lines the evidence stands in: all of them together, and each by itself.
function heard(evidence, outline, sound) {
  const ids = evidence.flatMap((piece) => piece.ids ?? []);
  if (!ids.length) return [];
  const lines = new Map();
  for (const id of ids) {
    const part = outline.parts[Number(id.slice(1).split("-")[0])]; // n3-12-... : the fourth part
    if (part) lines.set(part.label, [...lines.get(part.label) ?? [], id]);
  }
  const few = lines.size > 1 && lines.size <= MOST ? [...lines] : [];
  return [button("Hear them alone", () => sound.playNotes(ids)),
    ...few.map(([label, own]) => button(`Only ${label}`, () => sound.playNotes(own)))];
}

function button(text, act) {
  const made = document.createElement("button");
  made.type = "button";
  made.className = "plain";
  made.textContent = text;
  made.addEventListener("click", act);
  return made;
}
