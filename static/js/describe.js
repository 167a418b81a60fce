// The bars chosen on a score, in words: fetched while the disclosure is open.
import { readJson, typeBars } from "./score/tools.js";

const box = document.getElementById("describe");
const field = document.getElementById("describe-bars");
const outline = readJson("outline");
let chosen = null, told = null, wait = null;

function tell() {
  const asked = chosen && `${box.dataset.url}?first=${chosen.first}&last=${chosen.last}`;
  if (!box.open || !asked || asked === told) return;
  told = asked;
  window.htmx.ajax("GET", asked, { target: "#described", swap: "innerHTML" });
}

document.getElementById("score")?.addEventListener("score:selection", (event) => {
  const { first, last } = event.detail;
  if (first === null) return;
  chosen = { first, last };
  field.value = typeBars(first, last, outline);
  clearTimeout(wait);
  wait = setTimeout(tell, 300);
});
box.addEventListener("toggle", tell);
for (const name of ["htmx:sendError", "htmx:responseError"]) {
  box.addEventListener(name, () => {
    told = null;
    document.getElementById("described").textContent = "The words could not be fetched. Choose the bars again; if they still do not come, load the page anew: what you typed is kept.";
  });
}
box.querySelector("form").addEventListener("submit", () => { told = null; });
