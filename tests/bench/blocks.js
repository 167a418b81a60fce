// At the end of the sound: how loud the loudest sample was.
class Blocks extends AudioWorkletProcessor {
  #peak = 0;
  #square = 0;
  #count = 0;

  constructor() {
    super();
    this.port.onmessage = ({ data: hold }) => {
      if (hold) { const from = Date.now(); while (Date.now() - from < hold); return; }
      this.port.postMessage({ peak: this.#peak, rms: Math.sqrt(this.#square / (this.#count || 1)) });
      this.#peak = this.#square = this.#count = 0;
    };
  }

  process([input]) {
    for (const wave of input) {
      for (const x of wave) {
        this.#peak = Math.max(this.#peak, Math.abs(x));
        this.#square += x * x;
      }
      this.#count += wave.length;
    }
    return true;
  }
}
registerProcessor("blocks", Blocks);
