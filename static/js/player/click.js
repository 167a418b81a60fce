// The click: short tones on the sound's own clock, the first of a bar higher.

const AHEAD = 0.3; // s of sound laid out in advance: a busy page must not stumble

export class Click {
  #engine;
  #tones = new Set();
  #until = -Infinity; // score time up to which clicks are laid out

  constructor(engine) { this.#engine = engine; }

  tone(at, strong) {
    const { context, output } = this.#engine;
    const start = Math.max(at, context.currentTime);
    const oscillator = new OscillatorNode(context, { type: "triangle", frequency: strong ? 1760 : 1320 });
    const gain = new GainNode(context, { gain: 0 });
    gain.gain.setValueAtTime(strong ? 0.5 : 0.3, start);
    gain.gain.exponentialRampToValueAtTime(0.001, start + 0.05);
    oscillator.connect(gain).connect(output);
    oscillator.start(start);
    oscillator.stop(start + 0.06);
    this.#tones.add(oscillator);
    oscillator.onended = () => { this.#tones.delete(oscillator); gain.disconnect(); };
  }

  // Everything from `time` of the score on is still to be laid out.
  restart(time) {
    this.silence();
    this.#until = time - 0.001;
  }

  silence() {
    for (const tone of this.#tones) { tone.onended = null; try { tone.stop(); tone.disconnect(); } catch { /* not begun */ } }
    this.#tones.clear();
  }

  // The beat at which play begins sounds with it: the synthesiser tells its time only later.
  first(bars, time) {
    const bar = bars.find((b) => b.beats.some((beat) => Math.abs(beat - time) < 0.005));
    if (!bar) return;
    this.tone(this.#engine.context.currentTime + 0.02, bar.down !== null && Math.abs(bar.down - time) < 0.005);
    this.#until = time + 0.005;
  }

  // bars: their beats, from `beatsOf`; now: score time at this moment of the clock.
  layOut(bars, now, end, tempo) {
    const horizon = Math.min(now + AHEAD * tempo, end - 0.01);
    for (const bar of bars) {
      for (const beat of bar.beats) {
        if (beat <= this.#until || beat > horizon) continue;
        if (beat > now - 0.06) this.tone(this.#engine.context.currentTime + (beat - now) / tempo, beat === bar.down);
      }
    }
    this.#until = Math.max(this.#until, horizon);
  }
}
