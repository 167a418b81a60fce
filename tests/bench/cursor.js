// The page of `tests.bench.cursor`: plays the strokes once and notes strokes and marks.
import { Player } from "/static/js/player/player.js";
import { Cursor } from "/static/js/score/cursor.js";
import { ScoreView } from "/static/js/score/viewer.js";

const json = async (url) => (await fetch(url)).json();
const [outline, timeline] = [await json("/outline.json"), await json("/timeline.json")];
const view = new ScoreView(document.getElementById("score"), outline);
await view.open();
await view.goTo(0);
const player = new Player({ timeline, soundfontUrl: "/soundfont.sf2", outline });
await player.load(await (await fetch("/score.mid")).arrayBuffer());
new Cursor(view, player);
const { context } = player;

window.strokes = [];
window.marks = [];
await context.audioWorklet.addModule("/ear.js");
const ear = new AudioWorkletNode(context, "ear", { numberOfOutputs: 1 });
player.output.connect(ear).connect(new GainNode(context, { gain: 0 })).connect(context.destination);
ear.port.onmessage = ({ data: rendered }) => {
  const { contextTime, performanceTime } = context.getOutputTimestamp();
  strokes.push(performanceTime + (rendered - contextTime) * 1000);
};
let last = null;
new MutationObserver(() => {
  const mark = document.querySelector(".bar-mark.sounding");
  const bar = mark && Number(mark.dataset.bar);
  if (bar === null || bar === last) return;
  last = bar;
  marks.push([bar, performance.now()]);
}).observe(document, { subtree: true, attributes: true, attributeFilter: ["class"] });

window.latency = () => {
  const { contextTime, performanceTime } = context.getOutputTimestamp();
  const behind = context.currentTime - contextTime - (performance.now() - performanceTime) / 1000;
  return { base: context.baseLatency, output: context.outputLatency, behind };
};
// The synthesiser's hall must be still before the first stroke.
setTimeout(async () => {
  await player.playAll();
  player.addEventListener("state", ({ detail }) => { if (!detail.playing) setTimeout(() => { window.over = true; }, 1000); });
}, 1500);
