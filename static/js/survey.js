// The table of the page: every cell is kept as soon as it is left, and while one types. What could
// not be sent stays in this browser and goes along with the next cell, or when the line is back.

import { toldWhy } from "./signed-out.js";

const WAIT = 1200; // ms after the last key
const box = document.getElementById("survey");
const said = document.getElementById("survey-kept");
const url = box.dataset.url;
const token = JSON.parse(document.body.getAttribute("hx-headers"))["X-CSRFToken"];
const at = `survey:${url}`;
const fields = [...box.querySelectorAll("input")];
const unsent = JSON.parse(localStorage.getItem(at) ?? "{}");
const remember = () => { if (Object.keys(unsent).length) localStorage.setItem(at, JSON.stringify(unsent)); else localStorage.removeItem(at); };
const say = (text) => { said.textContent = text; };
for (const field of fields) if (field.name in unsent) field.value = unsent[field.name];

if (matchMedia("(max-width: 40rem)").matches) box.open = false; // a telephone shows the page it is about first

let line = Promise.resolve(true), timer = null;
const keep = () => { clearTimeout(timer); line = line.then(send, send); return line; };

// True: nothing is left to be sent.
async function send() {
  const cells = { ...unsent };
  if (!Object.keys(cells).length) return true;
  const headers = { "Content-Type": "application/json", "X-CSRFToken": token };
  const answer = await fetch(url, { method: "PATCH", headers, body: JSON.stringify({ cells }) }).catch(() => null);
  if (!answer) { say("No connection: kept in this browser, sent as soon as it is back."); return false; }
  if (toldWhy(answer, say, said)) return false;
  if (!answer.ok) { say((await answer.json().catch(() => ({}))).detail ?? "Not kept yet: it stays in this browser and is tried again."); return false; }
  const kept = (await answer.json()).cells;
  for (const [name, text] of Object.entries(cells)) if (unsent[name] === text) delete unsent[name];
  remember();
  // Cells typed in another window meanwhile, where nobody is typing here.
  for (const field of fields) if (!(field.name in unsent) && field !== document.activeElement) field.value = kept[field.name] ?? "";
  say("kept");
  return true;
}

box.addEventListener("input", ({ target }) => {
  unsent[target.name] = target.value;
  remember();
  say("");
  clearTimeout(timer);
  timer = setTimeout(keep, WAIT);
});
box.addEventListener("change", keep);
window.addEventListener("online", keep);
// Whatever hands in waits until the table is kept; see stages.js.
document.addEventListener("paper:leaving", (event) => { event.detail.push(keep()); });

// Up and down lead along a column, Enter to the next staff.
box.addEventListener("keydown", (event) => {
  const down = event.key === "ArrowDown" || event.key === "Enter";
  if ((!down && event.key !== "ArrowUp") || event.isComposing) return;
  const [row, column] = event.target.name?.split("-") ?? [];
  if (!column || row === "page") return;
  const next = box.querySelector(`[name="${Number(row) + (down ? 1 : -1)}-${column}"]`);
  if (!next) return;
  event.preventDefault();
  next.focus();
  next.select();
});
if (Object.keys(unsent).length) keep();
