// What of the sound is heard now, by the clock of the synthesiser's thread.
//
// Three clocks: that thread counts what it has made; the context counts what has been rendered (it
// goes on where the thread was held up, so the two lie apart); and what is rendered is heard only when
// it has left the machine. Every message of the thread carries its time. It comes late on a busy page,
// never early: the least distance seen lately is the true one.

const LATELY = 2; // s

export class SoundClock {
  #context;
  #apart = []; // [when seen, context's time less the thread's], the distance growing
  #last = 0;

  constructor(context) { this.#context = context; }

  /** A message of the thread has come; `time` is what the thread's clock showed when it was sent. */
  told(time) {
    if (typeof time !== "number") return;
    this.#last = time;
    const now = this.#context.currentTime;
    const apart = now - time;
    while (this.#apart.length && this.#apart.at(-1)[1] >= apart) this.#apart.pop();
    this.#apart.push([now, apart]);
    while (this.#apart.length > 1 && this.#apart[0][0] < now - LATELY) this.#apart.shift();
  }

  /** The thread's time of the last message. */
  get last() { return this.#last; }

  /** The thread's time that is rendered now. */
  get rendered() { return this.#context.currentTime - this.#distance(); }

  /** The thread's time that leaves the machine now. */
  get heard() { return heardBy(this.#context) - this.#distance(); }

  #distance() { return this.#apart[0]?.[1] ?? 0; }
}

/** The context's time that is heard now: less what the browser tells of the way to the ear. */
export function heardBy(context) {
  const { currentTime } = context;
  const { contextTime = 0, performanceTime = 0 } = context.getOutputTimestamp?.() ?? {};
  const heard = contextTime + (performance.now() - performanceTime) / 1000;
  if (contextTime > 0 && heard <= currentTime && heard > currentTime - 1) return heard;
  return currentTime - (context.outputLatency || context.baseLatency || 0);
}
