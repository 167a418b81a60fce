// The synthesiser behind the player: one audio context, one soundfont, any number of ports.
// Nothing is loaded before somebody asks to hear something.

const VENDOR = new URL("../../vendor/spessasynth-4.3.14/", import.meta.url);
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

export async function makeSynth(soundfontUrl, context = new AudioContext({ latencyHint: "playback" })) {
  if (!context.audioWorklet) throw new Error("A browser makes this sound only at a secure address (https). Tell whoever runs this site.");
  const { Sequencer, WorkletSynthesizer } = await import(new URL("spessasynth.js", VENDOR).href);
  await context.audioWorklet.addModule(new URL("spessasynth_processor.min.js", VENDOR).href);
  const synth = new WorkletSynthesizer(context);
  const output = new GainNode(context, { gain: HEAD_ROOM });
  const limiter = new DynamicsCompressorNode(context, { threshold: -6, knee: 0, ratio: 20, attack: 0.002, release: 0.15 });
  synth.connect(output);
  output.connect(limiter).connect(context.destination);
  const font = await soundfont(soundfontUrl);
  await synth.soundBankManager.addSoundBank(font.slice(0), "instruments");
  await synth.isReady;
  const newSequencer = () => new (heedful(Sequencer))(synth, { skipToFirstNoteOn: false });
  return { context, synth, output, limiter, newSequencer };
}

// The synthesiser's thread confirms a pause late on a busy machine: after play was pressed again it
// would stop the clock while the notes go on. Only an end of the piece pauses unasked.
const heedful = (Sequencer) => class extends Sequencer {
  handleMessage(message) {
    const late = message.type === "pause" && !message.data.isFinished && !this.paused;
    if (!late) super.handleMessage(message);
  }
};
