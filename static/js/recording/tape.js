// A recording as the player's machine: the same few words as the synthesiser's sequencer.

const LOST = "The recording could not be fetched, or this browser cannot play it. Choose the synthesiser, or reload the page.";

export class Tape {
  /** @param url of the sound; @param onTrouble(text) when it stops coming later on */
  constructor(url, onTrouble = () => {}) {
    this.audio = new Audio();
    this.audio.preload = "auto";
    this.audio.preservesPitch = true;
    this.ready = new Promise((resolve, reject) => {
      this.audio.addEventListener("loadedmetadata", () => resolve(this), { once: true });
      this.audio.addEventListener("error", () => { reject(new Error(LOST)); onTrouble(LOST); });
    });
    this.ready.catch(() => {});
    this.onTrouble = onTrouble;
    this.audio.src = url;
  }

  get duration() { return Number.isFinite(this.audio.duration) ? this.audio.duration : 0; }
  get currentTime() { return this.audio.currentTime; }
  set currentTime(time) { this.audio.currentTime = time; }
  get playbackRate() { return this.audio.playbackRate; }
  set playbackRate(rate) { this.audio.playbackRate = rate; }
  get paused() { return this.audio.paused; }
  get isFinished() { return this.audio.ended; }
  pause() { this.audio.pause(); }

  // A pause that comes before play has begun is no trouble.
  play() { return this.audio.play().catch((problem) => { if (problem.name !== "AbortError") this.onTrouble("The browser does not let this page play yet. Press Play once more."); }); }

  close() {
    this.onTrouble = () => {};
    this.audio.pause();
    this.audio.removeAttribute("src");
    this.audio.load();
  }
}
