// The page on which a tutor taps the bars of a recording.

import { movementOf, parseBars } from "../score/bars.js";
import { readJson } from "../score/tools.js";
import { ScoreView } from "../score/viewer.js";
import { Keeping } from "./keeping.js";
import { rowsOf } from "./rows.js";
import { Tape } from "./tape.js";
import { Taps } from "./taps.js";

const $ = (id) => document.getElementById(id);
const outline = readJson("outline");
const state = readJson("tapping-state");
const desk = $("tapping");
const view = new ScoreView($("score"), outline);
const trouble = (text) => { $("tap-trouble").textContent = text; };
const tape = new Tape(desk.dataset.soundUrl, trouble);
let known = state.bars; // [place, start, end, tapped] of every bar that has a time
let taps;

const keeping = new Keeping({
  url: desk.dataset.saveUrl,
  revision: state.revision,
  draft: () => ({ ...taps.draft, duration: tape.duration }),
  onSaved: ({ bars }) => { known = bars; show(); },
  onTrouble: trouble,
  onSaid: (text) => { $("tap-saved").textContent = text; },
});
const left = keeping.left(state.draft);
taps = new Taps(state.played, left ?? state.draft);
if ($("tap-order")) $("tap-order").value = taps.order;

// --- what is seen ---------------------------------------------------------------
const name = (bar) => `bar ${bar.label}${bar.pass > 1 ? `, time ${bar.pass}` : ""}`;

function show() {
  const next = taps.bars[taps.next];
  $("tap-word").textContent = next ? "Tap" : "All tapped";
  $("tap-next").textContent = next ? name(next) : "";
  $("tap").disabled = !next || !tape.duration;
  $("tap-undo").disabled = !taps.canUndo;
  $("tap-skip").disabled = !next;
  const between = known.filter(([, , , tapped]) => !tapped).length;
  $("tap-counts").textContent = `${taps.count} of ${taps.bars.length} bars tapped${between ? `, ${between} worked out` : ""}.`;
  if ($("tap-list").open) list();
}

// The list is made anew; who stood on one of its buttons stands there again.
function list() {
  const at = $("tap-rows").contains(document.activeElement) ? document.activeElement.getAttribute("aria-label") : null;
  $("tap-rows").replaceChildren(...rowsOf(taps, known, { hear, nudge, remove }));
  if (at) [...$("tap-rows").querySelectorAll("button")].find((b) => b.getAttribute("aria-label") === at)?.focus();
}

// A movement at a time, in one line.
function scoreAt(bar) {
  if (!view.view || !view.shows(bar)) {
    const whole = outline.movements[movementOf(bar, outline)];
    view.open({ layout: "strip", ...(outline.movements.length > 1 && whole ? { first: whole.first, last: whole.last } : {}) });
  }
  view.follow(bar);
}

function here() {
  const time = tape.currentTime;
  const row = known.findLast(([, start, end]) => start <= time + 0.005 && time < end);
  const place = row ? row[0] : Math.max(taps.next - 1, 0);
  return taps.bars[Math.min(place, taps.bars.length - 1)].index;
}

function clock() {
  const time = tape.currentTime;
  $("tap-place").value = time;
  $("tap-place").setAttribute("aria-valuetext", `${time.toFixed(1)} seconds`);
  $("tap-clock").textContent = `${Math.floor(time / 60)}:${(time % 60).toFixed(1).padStart(4, "0")}`;
}

function run() {
  clock();
  scoreAt(here());
  if (!tape.paused) requestAnimationFrame(run);
}

// --- what is done -----------------------------------------------------------------
function changed(problem = "") {
  trouble(problem);
  if (!problem && tape.duration) keeping.soon();
  show();
}

function tap() {
  changed(taps.tap(tape.currentTime));
  scoreAt(taps.bars[Math.max(taps.next - 1, 0)].index);
}

function hear(place) {
  tape.currentTime = Math.max(0, (known.find(([p]) => p === place)?.[1] ?? 0) - 1);
  tape.play();
}

function nudge(place, by) { changed(taps.nudge(by, tape.duration, place)); }
function remove(place) { taps.remove(place); changed(); }

$("tap-play").addEventListener("click", () => { if (tape.paused) tape.play(); else tape.pause(); });
tape.audio.addEventListener("play", () => { $("tap-play").textContent = "Pause"; run(); });
tape.audio.addEventListener("pause", () => { $("tap-play").textContent = "Play"; clock(); });
tape.audio.addEventListener("seeked", () => { clock(); if (tape.paused) scoreAt(here()); });
$("tap-place").addEventListener("input", (event) => { tape.currentTime = Number(event.target.value); });
$("tap-speed").addEventListener("change", (event) => { tape.playbackRate = Number(event.target.value); });

// At the moment the finger comes down; a click without one comes from a key or a screen reader.
let pressed = false;
$("tap").addEventListener("pointerdown", (event) => { if (event.button === 0) { pressed = true; tap(); } });
$("tap").addEventListener("click", () => { if (!pressed) tap(); pressed = false; });

// While it plays the space bar taps, wherever one is, unless one is typing.
for (const kind of ["keydown", "keyup"]) {
  document.addEventListener(kind, (event) => {
    if (event.key !== " " || tape.paused || event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.target.closest("input:not([type=range]), select, textarea, summary")) return;
    event.preventDefault();
    if (kind === "keydown" && !event.repeat && !taps.done) tap();
  });
}

$("tap-undo").addEventListener("click", () => { taps.undo(); changed(); });
$("tap-skip").addEventListener("click", () => { taps.skip(); changed(); });
$("tap-every").addEventListener("change", (event) => { taps.every = Number(event.target.value); });
$("tap-order")?.addEventListener("change", (event) => { taps.inOrder(event.target.value); known = []; changed(); });
$("all-earlier").addEventListener("click", () => changed(taps.nudge(-0.05, tape.duration)));
$("all-later").addEventListener("click", () => changed(taps.nudge(0.05, tape.duration)));
$("tap-list").addEventListener("toggle", show);

function goOn() {
  const field = $("tap-from");
  const bar = parseBars(field.value, outline, movementOf(here(), outline));
  const places = bar ? taps.bars.map((b, p) => p).filter((p) => taps.bars[p].index === bar.first) : [];
  const place = places.find((p) => taps.bars[p].pass === bar.pass) ?? places[0];
  field.setCustomValidity(place === undefined ? "There is no such bar in this order." : "");
  if (!field.reportValidity()) return;
  taps.next = place;
  tape.currentTime = taps.leadTo(place, known);
  trouble("");
  show();
  scoreAt(bar.first);
}
$("tap-go").addEventListener("click", goOn);
$("tap-from").addEventListener("input", (event) => event.target.setCustomValidity(""));
$("tap-from").addEventListener("keydown", (event) => { if (event.key === "Enter") { event.preventDefault(); goOn(); } });

// Nothing is given to be followed that is not kept.
$("tap-follow").addEventListener("submit", async (event) => {
  event.preventDefault();
  tape.pause();
  if (await keeping.now()) event.target.submit();
});

tape.ready.then(() => {
  $("tap-place").max = tape.duration;
  for (const id of ["tap-play", "tap-place"]) $(id).disabled = false;
  tape.currentTime = taps.count ? taps.leadTo(taps.next, known) : 0;
  if (left) keeping.soon();
  show();
  clock();
}, (problem) => trouble(problem.message));
show();
scoreAt(taps.bars[Math.min(taps.next, taps.bars.length - 1)].index);
