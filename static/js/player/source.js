// What the server can play of a score: its MIDI in an order of bars, and passages by the reading.

export class Source extends EventTarget {
  order = "printed";
  how = ""; // the choice by the reading: "only=melody"
  at = null; // the passage played last
  #whole = null; // {midi, timeline} in the order chosen
  #heard = ""; // what is loaded: "" for everything

  // fetched(url): a Response, once the server has it ready
  constructor({ midiUrl, timelineUrl, heardUrl, choicesUrl, excerptUrl, recordingsUrl, fetched, whole }) {
    super();
    Object.assign(this, { midiUrl, timelineUrl, heardUrl, choicesUrl, excerptUrl, recordingsUrl, fetched });
    this.#whole = whole;
  }

  async inOrder(player, order) {
    const query = order === "printed" ? "" : `?order=${order}`;
    try {
      const timeline = await (await this.fetched(`${this.timelineUrl}${query}`)).json();
      const midi = await (await this.fetched(`${this.midiUrl}${query}`)).arrayBuffer();
      this.#whole = { midi, timeline };
      this.order = order;
      this.#heard = "";
      await player.use(midi, timeline);
    } finally { this.dispatchEvent(new CustomEvent("order")); }
  }

  async choices({ first, last }) {
    if (!this.choicesUrl) return [];
    const answer = await fetch(`${this.choicesUrl}?${new URLSearchParams({ first, last })}`).catch(() => null);
    return answer?.ok ? (await answer.json()).choices : [];
  }

  // Load what is to be heard in a passage: all of it, or `how` ("only=melody", "without=...").
  async hear(player, span, how) {
    this.at = span;
    const wanted = span && how ? `${how}&${new URLSearchParams({ first: span.first, last: span.last, order: this.order })}` : "";
    if (wanted === this.#heard) return;
    let midi = this.#whole.midi;
    if (wanted) {
      const answer = await fetch(`${this.heardUrl}?${wanted}`);
      if (!answer.ok) throw new Error("This is not to be heard in these bars. Choose again, or hear everybody.");
      midi = await answer.arrayBuffer();
    }
    this.#heard = wanted;
    await player.use(midi);
  }

  // The address of one audio file of bars, as they are heard now. Repeats are not written out.
  excerpt(player, { first, last }) {
    const silent = player.timeline.parts.map((p) => p.id).filter((id) => !player.isHeard(id)).join(",");
    const order = this.order === "once" ? "once" : "printed";
    const query = new URLSearchParams({ first, last, order, tempo: player.tempo, ...(silent && { silent }) });
    return `${this.excerptUrl}?${query}${this.how && `&${this.how}`}`;
  }
}
