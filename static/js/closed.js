// The page while one answers from memory: the form of statements, no score and no sound.

import { readJson } from "./score/tools.js";
import { setUpStatements } from "./statements.js";

const desk = document.getElementById("desk");
const nowhere = { root: desk, selection: null, select() {}, goTo() {} };
if (document.getElementById("statement")) {
  setUpStatements({ desk, view: nowhere, outline: readJson("outline") });
  // The question is begun at once, with its bars, unless there is an answer to go on with.
  const begin = document.querySelector("[data-answer]");
  if (begin && document.querySelector(`[data-count="${begin.dataset.answer}"]`)?.textContent === "0") begin.click();
}
