const clock = () => performance.now() / 1000;
class Sequencer {
  #told = new Map();
  #from = 0;
  #since = null;
  #rate = 1;
  isFinished = false;
  eventHandler = { addEvent: (name, id, act) => this.#told.set(name, act) };
  loadNewSongList() { queueMicrotask(() => this.#told.get("songChange")?.()); }
  get currentTime() { return this.#from + (this.#since === null ? 0 : (clock() - this.#since) * this.#rate); }
  set currentTime(time) { this.#from = time; if (this.#since !== null) this.#since = clock(); }
  get heardTime() { return this.currentTime; }
  get playbackRate() { return this.#rate; }
  set playbackRate(rate) { this.currentTime = this.currentTime; this.#rate = rate; }
  play() { this.#since ??= clock(); }
  pause() { this.#from = this.currentTime; this.#since = null; }
}
export function ahead() {}
export async function makeSynth() {
  const context = { state: "running", get currentTime() { return clock(); }, resume() {}, close() {} };
  window.heard = new Set(); // channels that are not left out
  const midiChannels = Array.from({ length: 64 }, (_, n) => ({ setSystemParameter(name, on) { if (on) window.heard.delete(n); else window.heard.add(n); } }));
  const synth = { midiChannels, stopAll() {}, destroy() {}, programChange() {}, noteOn() {}, noteOff() {} };
  return { context, synth, filled: null, output: null, limiter: null, newSequencer: () => new Sequencer() };
}
