// Player: a MIDI file and its timeline, bar by bar, part by part.
//
//   const player = new Player({ timeline, soundfontUrl });
//   await player.load(midi);                    // ArrayBuffer or address
//   await player.playBars(0, 7, { parts: ["P1"] });
//
// Bars are indices of the score (not printed numbers), parts are part ids of the timeline.
// With `outline` (the score's bars and movements) it can click and count in.
// Events: "tick" {time, bar, label, pass, playing}, "state" {playing}, "parts" {},
// "count" {beat, of}: a beat counted before play begins.
// It never starts by itself.

import { beatsOf } from "./beats.js";
import { Click } from "./click.js";
import { makeSynth } from "./synth.js";

const TICK = 40; // ms
const SLOWEST = 0.25;
const FASTEST = 1.2;

export class Player extends EventTarget {
  #engine = null;
  #making = null; // promise of the engine
  #sequencer = null;
  #tape = null; // a recording in place of the synthesiser (`recording/tape.js`)
  #timer = null;
  #tempo = 1;
  #span = null; // {from, to} in seconds: what is being played
  #loop = false;
  #muted = new Set();
  #solo = null;
  #only = null; // parts of this playing alone, e.g. of a tutor's note
  #wanted = 0; // where play begins when nothing has sounded yet
  #playing = false;
  #from = 0; // where this playing began: nothing before it is heard
  #jump = null; // {time, until}: a seek the synthesiser has not yet confirmed
  #click = false;
  #countIn = false;
  #clicks = null;
  #beats = null; // of the bars of the timeline
  #inCount = false; // beats are being counted before play begins
  #turn = 0; // which count-in is the last one asked for

  constructor({ timeline = { bars: [], parts: [], notes: [], duration: 0 }, soundfontUrl, context, outline = {} } = {}) {
    super();
    this.timeline = timeline;
    this.outline = outline;
    this.before = null; // async ({first, last} | null): what has to be ready before bars are played
    this.soundfontUrl = soundfontUrl;
    this.givenContext = context;
  }

  // A player for single test notes, without a score.
  static async forNotes(soundfontUrl) {
    const player = new Player({ soundfontUrl });
    await (await player.#start()).filled;
    return player;
  }

  async #start() {
    this.#making ??= makeSynth(this.soundfontUrl, this.givenContext).catch((problem) => { this.#making = null; throw problem; });
    this.#engine = await this.#making;
    this.#clicks ??= new Click(this.#engine);
    return this.#engine;
  }

  // Make the synthesiser while what it is to play is still on its way.
  warm() { return this.#start(); }

  async load(midi, soundfontUrl = this.soundfontUrl) {
    this.soundfontUrl = soundfontUrl;
    const [engine, binary] = await Promise.all([this.#start(), midi instanceof ArrayBuffer ? midi : this.#fetched(midi)]);
    this.#sequencer ??= engine.newSequencer();
    const loaded = new Promise((resolve, reject) => {
      this.#sequencer.eventHandler.addEvent("songChange", "player", resolve);
      this.#sequencer.eventHandler.addEvent("midiError", "player", () => reject(new Error("The sound of this score could not be read.")));
    });
    this.#sequencer.loadNewSongList([{ binary: binary.slice(0) }]);
    await Promise.all([loaded, engine.filled]);
    this.#sequencer.pause();
    this.#sequencer.loopCount = 0;
    this.#applyParts();
    return this;
  }

  // The same score played otherwise: other notes of it, or (with a timeline) its bars in another order.
  async use(midi, timeline = null) {
    this.pause();
    await this.load(midi);
    if (!timeline) return;
    this.timeline = timeline;
    this.#beats = null;
    this.#span = null;
    this.#wanted = 0;
    this.#tick();
  }

  // A recording with its own times of the bars; null: the synthesiser again. Passage and place stay.
  useTape(tape, timeline) {
    this.pause();
    const bar = this.barAt(this.#wanted);
    const ends = this.#span && [this.barAt(this.#span.from), this.barAt(this.#span.to - 0.02)];
    this.#tape = tape;
    this.timeline = timeline;
    this.#beats = null;
    this.#jump = null;
    this.#span = ends ? this.span(ends[0].index, ends[1].index) : null;
    this.#wanted = 0;
    this.seekBar(bar?.index, bar?.pass);
  }

  get #machine() { return this.#tape ?? this.#sequencer; }

  async #fetched(url) {
    const answer = await fetch(url);
    if (!answer.ok) throw new Error("The sound of this score could not be fetched. Press Listen again.");
    return answer.arrayBuffer();
  }

  // --- what is heard: nodes for meters and tests --------------------------------
  get context() { return this.#engine?.context; }
  get output() { return this.#engine?.limiter; }

  // --- where we are -----------------------------------------------------------------
  get playing() { return this.#playing; }
  get time() { return this.#playing && !this.counting ? this.#now() : this.#wanted; }
  get duration() { return this.timeline.duration; }

  // The place the ear is at: what is rendered is heard a little later.
  get heard() {
    if (!this.#playing || this.counting) return this.#wanted;
    const rendered = this.#now();
    const heard = this.#jump ? rendered : this.#machine.heardTime ?? rendered;
    const end = (this.#span?.to ?? this.duration) - 0.01; // the machine is stopped a moment late
    return Math.max(Math.min(heard, end), this.#from);
  }

  // The synthesiser answers from its own thread: right after a jump it still tells the old time.
  #now() {
    const told = this.#machine.currentTime;
    if (!this.#jump) return told;
    if (Math.abs(told - this.#jump.time) > 0.4 && performance.now() < this.#jump.until) return this.#jump.time;
    this.#jump = null;
    return told;
  }

  #jumpTo(time) {
    this.#wanted = time;
    this.#from = time;
    this.#jump = { time, until: performance.now() + 800 };
    this.#machine.currentTime = time;
  }

  barAt(time) {
    const bars = this.timeline.bars;
    let low = 0;
    let high = bars.length - 1;
    while (low < high) {
      const middle = Math.ceil((low + high) / 2);
      if (bars[middle].start <= time + 0.005) low = middle;
      else high = middle - 1;
    }
    return bars[low] ?? null;
  }

  span(first, last = first) {
    const bars = this.timeline.bars;
    const from = bars.findIndex((bar) => bar.index === first);
    if (from < 0) return null;
    let to = from;
    for (let i = from; i < bars.length && bars[i].index <= last && bars[i].index >= first; i += 1) to = i;
    return { from: bars[from].start, to: bars[to].end };
  }

  // --- playing ----------------------------------------------------------------------
  async play() {
    if (!this.#machine) throw new Error("Nothing is loaded yet.");
    const engine = this.#engine;
    if (engine.context.state !== "running") await engine.context.resume();
    const end = this.#span?.to ?? this.duration;
    if (this.#wanted >= end - 0.01) this.#wanted = this.#span?.from ?? 0;
    this.#applyParts();
    this.#inCount = true; // the synthesiser still tells an older time
    this.#setPlaying(true);
    if (await this.#counted() && this.#playing) this.#begin();
  }

  #begin() {
    this.#inCount = false;
    this.#machine.playbackRate = this.#tempo;
    this.#clicks.restart(this.#wanted);
    this.#jumpTo(this.#wanted);
    this.#machine.play();
    if (this.#click) this.#clicks.first(this.#beatsNow(), this.#wanted);
    this.#tick();
  }

  // --- click and count-in -------------------------------------------------------------
  get canClick() { return this.#beatsNow().some((bar) => bar.count); }
  get click() { return this.#click; }
  set click(on) {
    this.#click = Boolean(on);
    if (on) this.#clicks?.restart(this.time);
    else this.#clicks?.silence();
  }

  get countIn() { return this.#countIn; }
  set countIn(on) { this.#countIn = Boolean(on); }

  #beatsNow() {
    this.#beats ??= beatsOf(this.timeline, this.outline.bars, this.outline.movements);
    return this.#beats;
  }

  // One bar before play begins, and what is missing to an upbeat. False: stopped meanwhile.
  async #counted() {
    const place = this.timeline.bars.indexOf(this.barAt(this.#wanted));
    const bar = this.#countIn ? this.#beatsNow()[place] : null;
    if (!bar?.count) return true;
    this.#turn += 1;
    const turn = this.#turn;
    const short = bar.down === null ? bar.count - bar.beats.length : 0;
    const beats = bar.count + short;
    const { context } = this.#engine;
    const each = bar.length / this.#tempo;
    const start = context.currentTime + 0.08;
    for (let n = 0; n < beats; n += 1) this.#clicks.tone(start + n * each, n % bar.count === 0);
    let told = -1;
    for (;;) {
      if (this.#turn !== turn || !this.#playing) return false;
      const gone = (context.currentTime - start) / each;
      if (gone >= beats - 0.01) return true;
      const beat = Math.max(Math.floor(gone), 0);
      if (beat !== told) this.dispatchEvent(new CustomEvent("count", { detail: { beat: (beat % bar.count) + 1, of: bar.count } }));
      told = beat;
      await new Promise((done) => { setTimeout(done, 8); });
    }
  }

  get counting() { return this.#inCount; }

  pause() {
    if (!this.#playing) return;
    if (!this.counting) this.#wanted = this.#now();
    this.#halt();
  }

  stop() {
    this.#wanted = this.#span?.from ?? 0;
    this.#only = null;
    this.#halt();
    this.#applyParts();
  }

  toggle() { return this.#playing ? this.pause() : this.play(); }

  #halt() {
    this.#turn += 1;
    this.#inCount = false;
    this.#clicks?.silence();
    this.#machine?.pause();
    this.#engine?.synth.stopAll(true);
    this.#setPlaying(false);
  }

  // Play bars first..last once (or round and round), then stop there.
  async playBars(first, last = first, { parts = [], loop = this.#loop } = {}) {
    if (!this.#tape) await this.before?.({ first, last, parts });
    const span = this.span(first, last);
    if (!span && this.#tape) throw new Error("The recording has no time for these bars: they were not tapped. Choose others, or the synthesiser.");
    if (!span) throw new Error(this.timeline.order === "once" ? "These bars are not played once through. Choose another way under Repeats." : "These bars have no sound.");
    this.pause();
    this.#span = span;
    this.loop = loop;
    this.#wanted = span.from;
    this.#only = parts.length ? new Set(parts) : null;
    await this.play();
  }

  // Some notes' own lines from the first of them to the end of the last, alone; ids as on the page.
  async playNotes(ids) {
    if (this.#tape) throw new Error("A recording plays everybody. Choose the synthesiser to hear these notes alone.");
    await this.before?.(null);
    const wanted = new Set(ids);
    const rows = this.timeline.notes.filter(([id]) => wanted.delete(id));
    if (!rows.length) throw new Error("These notes have no sound.");
    this.pause();
    this.#span = { from: rows[0][1], to: Math.max(...rows.map(([, , off]) => off)) };
    const parts = new Set(rows.map(([, , , part]) => part));
    this.#only = new Set(this.timeline.parts.filter((p) => parts.has(p.index)).map((p) => p.id));
    this.#wanted = this.#span.from;
    await this.play();
  }

  // Forget the passage: the whole score again.
  async playAll() {
    if (!this.#tape) await this.before?.(null);
    this.pause();
    this.#span = null;
    this.#only = null;
    this.#wanted = 0;
    return this.play();
  }

  seek(time) {
    this.#wanted = Math.min(Math.max(time, 0), this.duration);
    if (this.#span && (this.#wanted < this.#span.from || this.#wanted >= this.#span.to)) this.#span = null;
    if (this.#playing && !this.counting) this.#jumpTo(this.#wanted);
    this.#tick();
  }

  seekBar(index, pass = 1) {
    const bars = this.timeline.bars;
    const bar = bars.find((b) => b.index === index && b.pass === pass) ?? bars.find((b) => b.index === index);
    if (bar) this.seek(bar.start);
  }

  get tempo() { return this.#tempo; }
  set tempo(factor) {
    this.#tempo = Math.min(Math.max(Number(factor) || 1, SLOWEST), FASTEST);
    if (this.#machine) this.#machine.playbackRate = this.#tempo;
  }

  get loop() { return this.#loop; }
  set loop(on) { this.#loop = Boolean(on); }

  // The passage that plays and repeats; null = the whole score.
  setPassage(first, last) {
    this.#span = first === null || first === undefined ? null : this.span(first, last);
    if (this.#span && (this.time < this.#span.from || this.time >= this.#span.to)) this.seek(this.#span.from);
  }

  #setPlaying(on) {
    const changed = this.#playing !== on;
    this.#playing = on;
    clearInterval(this.#timer);
    if (on) this.#timer = setInterval(() => this.#step(), TICK);
    if (changed) this.dispatchEvent(new CustomEvent("state", { detail: { playing: on } }));
    this.#tick();
  }

  #step() {
    if (this.counting) return;
    const end = this.#span?.to ?? this.duration;
    const now = this.#now();
    if (now < end - 0.005 && (this.#jump || !this.#machine.isFinished)) {
      if (this.#click && !this.#jump) this.#clicks.layOut(this.#beatsNow(), now, end, this.#tempo);
      this.#tick();
      return;
    }
    this.#wanted = this.#span?.from ?? 0;
    if (this.#loop) {
      this.#inCount = true;
      this.#machine.pause();
      this.#engine.synth.stopAll();
      this.#counted().then((on) => { if (on && this.#playing) this.#begin(); });
      return;
    }
    this.#only = null;
    this.#halt();
    this.#applyParts();
  }

  #tick() {
    const time = this.time;
    const bar = this.barAt(time);
    const detail = { time, bar: bar?.index ?? null, label: bar?.label ?? "", pass: bar?.pass ?? 1, playing: this.#playing };
    this.dispatchEvent(new CustomEvent("tick", { detail }));
  }

  // --- who is heard -------------------------------------------------------------------
  isHeard(id) {
    if (this.#only) return this.#only.has(id);
    if (this.#solo !== null) return this.#solo === id;
    return !this.#muted.has(id);
  }

  isMuted(id) { return this.#muted.has(id); }
  get soloed() { return this.#solo; }

  mute(id, on = true) {
    if (on) this.#muted.add(id);
    else this.#muted.delete(id);
    this.#changeParts();
  }

  // One part alone; null: as ticked.
  solo(id) {
    this.#solo = id;
    this.#changeParts();
  }

  // These parts and no others.
  hear(ids) {
    const wanted = new Set(ids);
    this.#muted = new Set(this.timeline.parts.map((p) => p.id).filter((id) => !wanted.has(id)));
    this.#solo = null;
    this.#changeParts();
  }

  hearAll() {
    this.#muted.clear();
    this.#solo = null;
    this.#changeParts();
  }

  #changeParts() {
    this.#only = null;
    this.#applyParts();
    this.dispatchEvent(new CustomEvent("parts"));
  }

  #applyParts() {
    const channels = this.#engine?.synth.midiChannels;
    if (!channels) return;
    for (const part of this.timeline.parts) {
      const silent = !this.isHeard(part.id);
      for (const number of part.channels) channels[number]?.setSystemParameter("isMuted", silent);
    }
  }

  // --- single notes -----------------------------------------------------------------------
  async note(pitch, program = 0, seconds = 1.2) {
    const { context, synth } = await this.#start();
    if (context.state !== "running") await context.resume();
    synth.programChange(0, program);
    synth.noteOn(0, pitch, 90);
    setTimeout(() => synth.noteOff(0, pitch), seconds * 1000);
  }

  close() {
    this.#halt();
    this.#engine?.synth.destroy();
    if (!this.givenContext) this.#engine?.context.close();
    this.#engine = this.#making = null;
    this.#sequencer = null;
  }
}
