// The findings of the chosen bars in the margin: fetched, unfolded, their notes lit.
import { typeBars } from "./tools.js";
import { showEvidence } from "./evidence.js";

const WAIT = 250; // ms: a choice that is still being drawn out is not asked about

export function setUpFindings(view, outline, { file }) {
  const root = document.getElementById("findings");
  if (!root) return null;
  const url = root.dataset.url;
  let query = null, wait = null, turn = 0;

  // One line is read out for each choice, not the whole list.
  const status = document.createElement("p");
  status.className = "visually-hidden";
  status.setAttribute("role", "status");
  root.removeAttribute("aria-live");
  root.before(status);

  const address = (more) => `${url}?${new URLSearchParams({ ...more, file })}`;
  const fetched = async (where) => {
    const answer = await fetch(where).catch(() => null);
    return answer?.ok ? answer.text() : null;
  };

  async function load() {
    if (!query) return;
    const mine = ++turn;
    root.setAttribute("aria-busy", "true");
    const html = await fetched(address(query));
    if (mine !== turn) return;
    const choosing = root.querySelector("#kinds-choice")?.open;
    root.removeAttribute("aria-busy");
    root.innerHTML = html ?? '<p class="empty">The findings could not be fetched; choose the bars again.</p>';
    if (choosing) root.querySelector("#kinds-choice")?.setAttribute("open", "");
    status.textContent = root.querySelector(".told")?.textContent ?? root.textContent.trim();
  }

  function choose({ first, last, parts }) {
    query = { topic: query?.topic ?? "", first, last, parts: parts.join(",") };
    clearTimeout(wait);
    wait = setTimeout(load, WAIT);
  }

  // What lies beneath a fold comes when it is first opened ("toggle" does not bubble).
  root.addEventListener("toggle", async (event) => {
    const fold = event.target;
    if (!fold.open || !fold.dataset.url) return;
    const where = fold.dataset.url;
    delete fold.dataset.url;
    const body = document.createElement("div");
    body.textContent = "…";
    fold.append(body);
    const html = await fetched(address(Object.fromEntries(new URLSearchParams(where))));
    if (html === null) { fold.dataset.url = where; fold.open = false; body.remove(); status.textContent = "That could not be fetched; try again."; return; }
    body.innerHTML = html;
  }, true);

  root.addEventListener("click", (event) => {
    const topic = event.target.closest("[data-topic]");
    if (topic) { query = { ...query, topic: topic.dataset.topic }; load().then(() => root.querySelector("[data-topic]")?.focus()); return; }
    const to = event.target.closest("[data-choose]");
    if (to) { event.preventDefault(); pick(to); return; }
    const wanted = event.target.closest("[data-note-on]");
    if (wanted) { noteOn(wanted.closest("[data-finding-row]")); return; }
    const said = event.target.closest("[data-evidence]");
    if (said) show(said);
  });

  // Down and up lead from sentence to sentence.
  root.addEventListener("keydown", (event) => {
    const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
    const here = event.target.closest("[data-evidence]");
    if (!step || !here) return;
    const all = [...root.querySelectorAll("[data-evidence]")].filter((b) => b.checkVisibility());
    const next = all[all.indexOf(here) + step];
    if (next) { event.preventDefault(); next.focus(); }
  });

  root.addEventListener("submit", (event) => {
    const form = event.target;
    form.finding.value = form.querySelector("script").textContent;
  });

  function pick(link) {
    const first = Number(link.dataset.first), last = Number(link.dataset.last);
    view.select({ first, last });
    view.root.dispatchEvent(new CustomEvent("score:selection", { detail: { first, last, parts: [] } }));
    view.reveal(first, last);
  }

  function show(said) {
    const row = said.closest("[data-finding-row]");
    const again = said.getAttribute("aria-pressed") === "true";
    for (const other of root.querySelectorAll("[data-evidence]")) other.setAttribute("aria-pressed", "false");
    view.dark();
    if (again) return;
    said.setAttribute("aria-pressed", "true");
    const evidence = JSON.parse(row.querySelector("script").textContent);
    if (evidence.length) { showEvidence(view, evidence, outline); return; }
    const { first, last, parts } = row.dataset; // no single note is its ground: its bars, in its parts
    view.band([{ first: Number(first), last: Number(last), parts: parts.split(",").filter(Boolean) }]);
    view.reveal(Number(first), Number(last));
  }

  // A note on a finding: its bars, its parts lit, its sentence to begin with.
  function noteOn(row) {
    const place = document.getElementById("new-note");
    const form = place.querySelector("form");
    const { first, last, parts } = row.dataset;
    place.open = true;
    form.bars.value = typeBars(Number(first), Number(last), outline);
    form.finding.value = row.querySelector(":scope > .finding-acts > form[data-finding] script")?.textContent ?? "";
    if (!form.text.value.trim()) form.text.value = row.querySelector("[data-sentence]").textContent;
    const lit = parts.split(",");
    for (const box of form.querySelectorAll("[name=lit]")) box.checked = lit.includes(box.value);
    form.querySelector("details").open = true;
    form.text.focus();
  }

  return { choose };
}
