// Evidence of a flag: notes, or rests where notes were claimed.
import { parseBars } from "./tools.js";

const MOST = 16; // bars opened at once around evidence

export function showEvidence(target, evidence, from, { go = true } = {}) {
  let first = null, last = null;
  const reach = (from, to = from) => { first = Math.min(first ?? from, from); last = Math.max(last ?? to, to); };
  for (const piece of evidence) {
    if (piece.ids) {
      target.light(piece.ids);
      for (const id of piece.ids) {
        const bar = Number(id.split("-")[1]);
        if (Number.isInteger(bar)) reach(bar);
      }
    } else if (piece.rests) {
      const bars = piece.bars.map((label) => (typeof label === "number" ? label : parseBars(String(label), from)?.first));
      const part = from.parts.find((p) => p.id === piece.part || p.label === piece.part)?.id;
      if (part && bars[0] !== undefined) { target.lightRests(part, bars[0], bars[1] ?? bars[0]); reach(bars[0], bars[1] ?? bars[0]); }
    }
  }
  if (go && first !== null) return target.reveal(first, Math.min(last, first + MOST));
  return null;
}
