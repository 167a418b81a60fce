// Review: the excerpt with its lit notes, and one key for each act.
import { ScoreView } from "./score/viewer.js";
import { readJson } from "./score/tools.js";
import { playByKey, setUpSound } from "./score/sound.js";
import { showEvidence } from "./score/evidence.js";

const root = document.getElementById("score");
if (root) {
  const outline = readJson("outline");
  const view = new ScoreView(root, outline);
  const evidence = readJson("evidence") ?? [];
  const claimed = { first: Number(root.dataset.first), last: Number(root.dataset.last) };
  let { first, last } = claimed;
  const fromIds = new Set(readJson("excerpt-parts") ?? []);
  for (const piece of evidence) for (const id of piece.ids ?? []) {
    const [part, bar] = id.slice(1).split("-").map(Number);
    if (Math.abs(bar - claimed.first) <= 8) { first = Math.min(first, bar); last = Math.max(last, bar); }
    if (outline.parts[part]) fromIds.add(outline.parts[part].id);
  }
  first = Math.max(0, first - 1);
  last = Math.min(outline.bars.length - 1, last + 1, first + 24);
  const few = outline.parts.map((p) => p.id).filter((id) => fromIds.has(id));
  // A job is judged against what the others do.
  let all = few.length === 0 || root.dataset.kind === "role";
  const open = async () => {
    await view.open({ first, last, parts: all ? [] : few });
    view.select(claimed);
    showEvidence(view, evidence, outline, { go: false });
  };
  // The notes a flag rests on are in sight without a touch; on a small screen too.
  let shown = false;
  root.addEventListener("score:ready", () => { if (!shown) setTimeout(() => { shown = true; view.keepLitInSight(); }, 50); });
  open();
  const button = document.getElementById("with-all");
  button?.addEventListener("click", () => { all = !all; shown = false; button.setAttribute("aria-pressed", all); open(); });
  playByKey(setUpSound(document.getElementById("player"), view, outline), () => ({ ...claimed, parts: few }));
  document.addEventListener("keydown", (event) => {
    if (typing(event)) return;
    if (event.key === "s") button?.click();
  });
}

const reply = document.getElementById("reply");
for (const button of document.querySelectorAll("[data-stock]")) {
  button.addEventListener("click", () => {
    reply.value = reply.value ? `${reply.value.trim()} ${button.textContent}` : button.textContent;
    reply.focus();
  });
}
document.addEventListener("keydown", (event) => {
  if (event.key === "Escape" && event.target === reply) reply.blur();
  if ((event.ctrlKey || event.metaKey) && event.key === "Enter") document.getElementById("accept")?.click();
  if (typing(event)) return;
  const act = { a: "#accept", j: "#following", k: "#previous" }[event.key];
  if (act) document.querySelector(act)?.click();
  if (event.key === "r") { event.preventDefault(); reply.focus(); }
  if (/^[1-4]$/.test(event.key)) document.querySelector(`[data-key="${event.key}"]`)?.click();
});
function typing(event) { return event.target.closest("input, textarea, select") || event.ctrlKey || event.metaKey || event.altKey; }

// While the check is on its way, look again by itself, unless something was typed.
if (document.getElementById("waiting")) setTimeout(() => { if (!reply.value) location.reload(); }, 3000);
