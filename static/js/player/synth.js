// The synthesiser behind the player: one audio context, one soundfont, any number of ports.
// It is made only when somebody asks to hear something; what it is made of may be fetched before.

import { SoundClock } from "./clock.js";

const VENDOR = new URL("../../vendor/spessasynth-4.3.14/", import.meta.url);
const LIBRARY = new URL("spessasynth.js", VENDOR).href;
const THREAD = new URL("spessasynth_processor.min.js", VENDOR).href;
const HEAD_ROOM = 0.7; // a tutti of twenty channels must not clip; measured in tests/player
const fonts = new Map(); // address -> promise of bytes

async function bytes(url, what) {
  const answer = await fetch(url);
  if (!answer.ok) throw new Error(`${what} could not be fetched. Look at your connection and press Listen again.`);
  return answer.arrayBuffer();
}

function soundfont(url) {
  if (!fonts.has(url)) {
    const asked = bytes(url, "The instruments' sounds");
    asked.catch(() => fonts.delete(url));
    fonts.set(url, asked);
  }
  return fonts.get(url);
}

/** Fetch what the synthesiser is made of. Nothing is made of it yet, and nothing can sound. */
export function ahead(soundfontUrl) {
  return Promise.allSettled([soundfont(soundfontUrl), import(LIBRARY), fetch(THREAD).then((answer) => answer.blob())]);
}

// `filled`: the instruments are in. A sequence may be given to it before; its thread takes one thing
// after the other.
export async function makeSynth(soundfontUrl, context = new AudioContext({ latencyHint: "playback" })) {
  if (!context.audioWorklet) throw new Error("A browser makes this sound only at a secure address (https). Tell whoever runs this site.");
  const font = soundfont(soundfontUrl);
  font.catch(() => {});
  const [{ Sequencer, WorkletSynthesizer }] = await Promise.all([import(LIBRARY), context.audioWorklet.addModule(THREAD)]);
  const synth = new WorkletSynthesizer(context);
  const clock = new SoundClock(context);
  const hear = synth.handleMessage.bind(synth);
  synth.handleMessage = (message) => { clock.told(message.currentTime); hear(message); };
  const output = new GainNode(context, { gain: HEAD_ROOM });
  const limiter = new DynamicsCompressorNode(context, { threshold: -6, knee: 0, ratio: 20, attack: 0.002, release: 0.15 });
  synth.connect(output);
  output.connect(limiter).connect(context.destination);
  const [sounds] = await Promise.all([font, synth.isReady]);
  const filled = synth.soundBankManager.addSoundBank(sounds.slice(0), "instruments");
  filled.catch(() => {});
  const newSequencer = () => new (heedful(Sequencer))(synth, clock);
  return { context, synth, output, limiter, filled, newSequencer };
}

// The sequence as its thread tells of it. The library sets its place by when a message arrives; here it
// is set by when it was sent. And a pause confirmed late on a busy machine must not stop the clock
// after play was pressed again: only an end of the piece pauses unasked.
const heedful = (Sequencer) => class extends Sequencer {
  #clock;
  #told = null; // {place, at}: the place in the sequence when the thread's clock stood so

  constructor(synth, clock) {
    super(synth, { skipToFirstNoteOn: false, initialPlaybackRate: 1 });
    this.#clock = clock;
  }

  handleMessage(message) {
    const late = message.type === "pause" && !message.data.isFinished && !this.paused;
    if (message.type === "sync") this.#told = { place: message.data, at: this.#clock.last };
    if (message.type === "timeChange") this.#told = { place: message.data.newTime, at: this.#clock.last };
    if (message.type === "songChange") this.#told = null;
    if (!late) super.handleMessage(message);
  }

  #placeAt(time) {
    if (this.isLoading || this.paused || !this.#told) return super.currentTime;
    return this.#told.place + (time - this.#told.at) * super.playbackRate;
  }

  get currentTime() { return this.#clock ? this.#placeAt(this.#clock.rendered) : super.currentTime; }
  set currentTime(time) {
    this.#told = null;
    super.currentTime = time;
  }

  /** The place that leaves the machine now. */
  get heardTime() { return this.#placeAt(this.#clock.heard); }

  get playbackRate() { return super.playbackRate; }
  set playbackRate(rate) {
    const place = this.currentTime;
    super.playbackRate = rate;
    if (this.#told) this.#told = { place, at: this.#clock.rendered };
  }
};
