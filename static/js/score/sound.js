// Sound of a score: loads player and soundfont only when somebody wants to hear.
// MIDI and timeline are made by the worker out of the note table.

import { Cursor } from "./cursor.js";

const POLL = 700;
const TYPED = "textarea, select, [contenteditable], input:not([type=checkbox], [type=radio], [type=range])";

export function setUpSound(root, view, outline) {
  const nothing = { play() {}, toggle() {}, stop() {} };
  if (!root) return nothing;
  let ready = null;
  let asked = ""; // what was chosen when play last began
  const start = document.createElement("button");
  start.type = "button";
  start.textContent = "Listen";
  start.className = "listen";
  const say = document.createElement("p");
  say.className = "muted small";
  say.setAttribute("role", "status");
  root.append(start, say);

  async function fetched(url) {
    for (let tries = 0; tries < 200; tries += 1) {
      const answer = await fetch(url);
      if (answer.status === 200) return answer;
      if (answer.status !== 202) throw new Error((await answer.json().catch(() => ({}))).detail ?? "The sound could not be fetched.");
      say.textContent = "The sound is being made…";
      await new Promise((done) => { setTimeout(done, POLL); });
    }
    throw new Error("The sound takes unusually long. Press Listen again later.");
  }

  function load() {
    ready ??= (async () => {
      start.disabled = true;
      say.textContent = "Fetching the sound…";
      const [{ Player }, { buildControls }] = await Promise.all([import("../player/player.js"), import("../player/controls.js")]);
      const { Source } = await import("../player/source.js");
      const timeline = await (await fetched(root.dataset.timelineUrl)).json();
      const midi = await (await fetched(root.dataset.midiUrl)).arrayBuffer();
      const player = new Player({ timeline, soundfontUrl: root.dataset.soundfont, outline });
      await player.load(midi);
      const { midiUrl, timelineUrl, heardUrl, choicesUrl, excerptUrl, recordingsUrl } = root.dataset;
      const source = new Source({ midiUrl, timelineUrl, heardUrl, choicesUrl, excerptUrl, recordingsUrl, fetched, whole: { midi, timeline } });
      const bar = inReach(root);
      buildControls(root, player, { outline, selection: () => chosen(), source, bar });
      bar?.append(toTheRest(root));
      const ask = () => source.dispatchEvent(new CustomEvent("asked", { detail: chosen() }));
      view.root.addEventListener("score:selection", ask);
      ask();
      player.addEventListener("state", (event) => { if (event.detail.playing) asked = named(); });
      new Cursor(view, player);
      start.remove();
      say.textContent = "A synthesiser is no hall: it is a help to the ear, not the text.";
      return player;
    })().catch((problem) => {
      ready = null;
      start.disabled = false;
      say.textContent = problem.message || "The sound could not be played here.";
      throw problem;
    });
    return ready;
  }

  function chosen() {
    const { first, last, parts } = view.selection;
    if (first !== null) return { first, last, parts: [...parts] };
    return { first: view.view?.first ?? 0, last: view.view?.last ?? outline.bars.length - 1, parts: [] };
  }

  const named = (what = view.selection) => `${what.first}-${what.last} ${[...what.parts ?? []].join(" ")}`;

  // What was begun goes on where it was paused, unless something else has been chosen since.
  async function toggle(what) {
    const player = ready && await ready;
    if (player?.playing) player.pause();
    else if (player && asked === named(what)) await player.play();
    else await play(what ?? chosen());
    asked = named(what);
  }

  async function play(what) {
    const player = await load();
    await player.playBars(what.first, what.last, { parts: what.parts ?? [] });
  }
  const told = (problem) => { say.textContent = problem.message || "The sound could not be played here."; };
  start.addEventListener("click", () => play(chosen()).catch(told));
  return {
    play: (what) => play(what).catch(told),
    /** Play what is chosen, or `what`; pause while something plays. */
    toggle: (what) => toggle(what).catch(told),
    stop: async () => { if (ready) (await ready).stop(); },
  };
}

/** `p` plays and pauses from anywhere on the page, but not while one types. what(): which bars. */
export function playByKey(sound, what = () => undefined) {
  document.addEventListener("keydown", (event) => {
    if (event.key !== "p" || event.repeat || event.ctrlKey || event.metaKey || event.altKey) return;
    if (!event.target.closest(TYPED)) sound.toggle(what());
  });
}

// Play and stop stay at the foot of the window once sound was asked for.
function inReach(root) {
  const score = root.closest(".score");
  if (!score) return null;
  const bar = document.createElement("div");
  bar.className = "transport no-print";
  bar.setAttribute("role", "group");
  bar.setAttribute("aria-label", "Play and stop");
  score.append(bar);
  return bar;
}

function toTheRest(root) {
  const more = document.createElement("button");
  more.type = "button";
  more.className = "plain";
  more.textContent = "Tempo, repeats, parts";
  more.addEventListener("click", () => {
    root.scrollIntoView({ block: "center" });
    root.querySelector("input[type=range]")?.focus({ preventScroll: true });
  });
  return more;
}
