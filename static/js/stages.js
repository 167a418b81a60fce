// Stages of a paper: handing one in, and giving a first answer. What stands in the form is
// kept first; then the page is loaded anew, for another one is open now.

import { toldWhy } from "./signed-out.js";

export function setUpStages({ desk, token, keep }) {
  async function ask(url, where) {
    const say = (text) => { where.textContent = text; };
    const waiting = []; // what else is kept on this page before it is left
    document.dispatchEvent(new CustomEvent("paper:leaving", { detail: waiting }));
    if (!(await keep()) || (await Promise.all(waiting)).includes(false)) { say("Not kept yet, so nothing was handed in. Try again when it is."); return null; }
    const answer = await fetch(url, { method: "POST", headers: { "X-CSRFToken": token } }).catch(() => null);
    if (!answer) { say("No connection. What you said is kept; hand in when it is back."); return null; }
    if (answer.ok) { location.reload(); return null; }
    if (toldWhy(answer, say, where)) return null;
    const told = await answer.json().catch(() => ({}));
    say(told.detail ?? "It could not be handed in; load the page again.");
    return told;
  }

  const on = document.getElementById("stage-on");
  let sure = "no"; // what is missing is said once; the next press hands in
  on?.addEventListener("click", async () => {
    const url = desk.dataset.stageUrl.replace("STAGE", on.dataset.stage);
    const told = await ask(`${url}?sure=${sure}`, document.getElementById("stage-said"));
    if (told?.asked) { sure = "yes"; on.textContent = on.dataset.allTheSame; }
  });

  for (const button of document.querySelectorAll("[data-first-answer]")) {
    button.addEventListener("click", () => {
      ask(button.dataset.firstAnswer, button.nextElementSibling);
    });
  }
}
