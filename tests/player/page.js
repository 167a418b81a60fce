// The test page: a player with its controls, and a meter on what leaves it.
import { Player } from "/static/js/player/player.js";
import { Source } from "/static/js/player/source.js";
import { beatsOf } from "/static/js/player/beats.js";
import { buildControls } from "/static/js/player/controls.js";

const timeline = await (await fetch("/timeline.json")).json();
const outline = await (await fetch("/outline.json")).json();
const player = new Player({ timeline, soundfontUrl: "/soundfont.sf2", outline });
const ticks = [];
const counts = [];
player.addEventListener("count", (event) => counts.push({ ...event.detail, at: player.context.currentTime }));
player.addEventListener("tick", (event) => ticks.push(event.detail));
const midi = await (await fetch("/score.mid")).arrayBuffer();
await player.load(midi);
const selection = () => ({ first: 1, last: 2, parts: [] });
const source = new Source({ midiUrl: "/score.mid", timelineUrl: "/timeline.json", heardUrl: "/heard.mid", choicesUrl: "/choices.json", excerptUrl: "/excerpt.wav", fetched: fetch.bind(window), whole: { midi, timeline } });
buildControls(document.getElementById("player"), player, { outline, selection, source });
source.dispatchEvent(new CustomEvent("asked", { detail: selection() }));

const meter = new AnalyserNode(player.context, { fftSize: 4096 });
player.output.connect(meter);

async function measure(ms) {
  const frame = new Float32Array(meter.fftSize);
  const until = performance.now() + ms;
  let sum = 0;
  let samples = 0;
  let peak = 0;
  while (performance.now() < until) {
    meter.getFloatTimeDomainData(frame);
    for (const x of frame) { sum += x * x; peak = Math.max(peak, Math.abs(x)); }
    samples += frame.length;
    await new Promise((done) => { setTimeout(done, 60); });
  }
  return { rms: Math.sqrt(sum / samples), peak };
}

Object.assign(window, { player, ticks, counts, measure, Player, beatsOf });
document.getElementById("ready").textContent = "ready";
