// At the end of the sound: the context's time of each stroke, as it is rendered.
class Ear extends AudioWorkletProcessor {
  #quiet = 0; // frames since something was heard
  process([input]) {
    const wave = input[0];
    for (let n = 0; n < (wave?.length ?? 128); n += 1) {
      if (wave && Math.abs(wave[n]) > 0.005) {
        if (this.#quiet > sampleRate / 2) this.port.postMessage((currentFrame + n) / sampleRate);
        this.#quiet = 0;
      } else this.#quiet += 1;
    }
    return true;
  }
}
registerProcessor("ear", Ear);
