// The page of `tests.bench.tutti`: plays once and tells what was lost.
import { Player } from "/static/js/player/player.js";

const timeline = await (await fetch("/timeline.json")).json();
const player = new Player({ timeline, soundfontUrl: "/soundfont.sf2" });
await player.load(await (await fetch("/score.mid")).arrayBuffer());
const { context } = player;
await context.audioWorklet.addModule("/blocks.js");
const blocks = new AudioWorkletNode(context, "blocks");
player.output.connect(blocks).connect(new GainNode(context, { gain: 0 })).connect(context.destination);
const asked = () => new Promise((done) => {
  blocks.port.onmessage = ({ data }) => done(data);
  blocks.port.postMessage(null);
});
await player.playAll();
await new Promise((done) => { setTimeout(done, 1000); }); // it has begun
await asked(); // from here on
const [sound, time] = [context.currentTime, performance.now()];
// How far rendering is behind the machine's clock, seen every few milliseconds: what is held up longer
// than the browser has sound in hand is a dropout.
const held = [];
setInterval(() => held.push(performance.now() - time - (context.currentTime - sound) * 1000), 5);
if (window.hold) setTimeout(() => blocks.port.postMessage(window.hold), 3000);
player.addEventListener("state", async ({ detail }) => {
  if (detail.playing) return;
  const { peak, rms } = await asked();
  const inHand = (context.outputLatency || context.baseLatency) * 1000;
  const usual = held.toSorted((a, b) => a - b)[held.length >> 1];
  const late = held.map((ms) => ms - usual > inHand);
  window.told = { seconds: (performance.now() - time) / 1000, dropouts: late.filter((on, n) => on && !late[n - 1]).length,
    "held up at most, ms": Math.max(...held) - usual, "in hand, ms": inHand, peak, rms };
});
