// Sound of a score: made only when somebody wants to hear, of what has been fetched in a quiet moment.
// MIDI and timeline are made by the worker out of the note table.

import { Cursor } from "./cursor.js";

const POLL = 700;
/** Where letters are typed, or choose: a slider and a box to tick are no such place. */
export const TYPED = "textarea, select, [contenteditable], input:not([type=checkbox], [type=radio], [type=range])";

export function setUpSound(root, view, outline) {
  const nothing = { given: false, play() {}, playNotes() {}, toggle() {}, stop() {} };
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

  // What the sound is made of is fetched before anybody asks, once the page has come and is quiet;
  // on a thrifty connection only when somebody comes near the button.
  let coming = null;
  function ahead() {
    coming ??= (async () => {
      const [{ Player }, { buildControls }, { Source }, synth] = await Promise.all([
        import("../player/player.js"), import("../player/controls.js"), import("../player/source.js"), import("../player/synth.js")]);
      synth.ahead(root.dataset.soundfont);
      return { Player, buildControls, Source, timeline: first(root.dataset.timelineUrl, "json"), midi: first(root.dataset.midiUrl, "arrayBuffer") };
    })();
    coming.catch(() => { coming = null; });
    return coming;
  }

  // What the worker has ready; null: to be asked for again.
  const first = (url, as) => fetch(url).then((answer) => (answer.status === 200 ? answer[as]() : null)).catch(() => null);

  start.addEventListener("pointerenter", () => ahead(), { once: true });
  start.addEventListener("focus", () => ahead(), { once: true });
  if (!thrifty()) view.root.addEventListener("score:ready", () => quiet(() => ahead()), { once: true });

  function load() {
    ready ??= (async () => {
      start.disabled = true;
      say.textContent = "Fetching the sound…";
      const { Player, buildControls, Source, ...made } = await ahead();
      const player = new Player({ soundfontUrl: root.dataset.soundfont, outline });
      const begun = player.warm();
      begun.catch(() => {});
      const [timeline, midi] = await Promise.all([
        made.timeline.then(async (found) => found ?? (await fetched(root.dataset.timelineUrl)).json()),
        made.midi.then(async (found) => found ?? (await fetched(root.dataset.midiUrl)).arrayBuffer())]);
      player.timeline = timeline;
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
      ready = coming = null;
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
    else await play(what ?? here());
    asked = named(what);
  }

  // What is chosen; where nothing is, from the bar one reads to the end of what is shown.
  function here() {
    const what = chosen(), place = Number(view.root.dataset.place);
    return view.selection.first === null && place > what.first && place <= what.last ? { ...what, first: place } : what;
  }

  async function play(what) {
    const player = await load();
    await player.playBars(what.first, what.last, { parts: what.parts ?? [] });
  }
  async function playNotes(ids) {
    const player = await load();
    await player.playNotes(ids);
  }
  const told = (problem) => { say.textContent = problem.message || "The sound could not be played here."; };
  start.addEventListener("click", () => play(here()).catch(told));
  return {
    play: (what) => play(what).catch(told),
    /** Whether there is a sound to be asked for at all. */
    given: true,
    /** The lines of these notes alone, from the first to the last of them. */
    playNotes: (ids) => playNotes(ids).catch(told),
    /** Play what is chosen, or `what`; pause while something plays. */
    toggle: (what) => toggle(what).catch(told),
    stop: async () => { if (ready) (await ready).stop(); },
  };
}

const quiet = (act) => (window.requestIdleCallback ? requestIdleCallback(act) : setTimeout(act, 1000));

/** Whether the connection is to be spared: six megabytes are much on some. */
function thrifty() {
  const { saveData, effectiveType, type } = navigator.connection ?? {};
  return Boolean(saveData) || type === "cellular" || /[23]g/.test(effectiveType ?? "");
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
