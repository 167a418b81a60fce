// Places as people write them and as addresses carry them: printed label, pass, movement.

const BAR = "([0-9a-z]+)\\s*(?:,\\s*(\\d+))?\\s*(?:\\/(\\d+))?";
const BARS = new RegExp(`^\\s*(?:b(?:ar)?s?\\.?\\s*)?${BAR}(?:\\s*(?:-|–|—|to)\\s*${BAR})?\\s*$`, "i");

/**
 * "24-31", "b. 9", "24a,2" (label, pass), "12/2" (the second bar of that number), "B" (a letter)
 * to {first, last, pass} indices; null if there is no such bar. Of equal labels those of
 * `movement` (its index) come first.
 */
export function parseBars(text, outline, movement = null) {
  const [named, rest] = movementSaid(text ?? "", outline);
  movement = named ?? movement;
  const found = BARS.exec(rest);
  if (!found) return null;
  const first = find(outline, movement, found[1], found[2], found[3]);
  const there = first === null ? null : movementOf(first, outline);
  const last = found[4] ? find(outline, there, found[4], found[5], found[6]) : first;
  if (first === null || last === null || last < first) return null;
  const pass = Number(found[2]);
  return { first, last, pass: outline.bars[first].passes?.includes(pass) ? pass : null };
}

// "II: 9-12": the movement a place begins with (its index, null if none), and the rest.
const ROMANS = ["I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX", "X"];
function movementSaid(text, outline) {
  const said = /^\s*([IVX]+)\s*[:,]\s*(?=\S)/.exec(text);
  const movement = said ? ROMANS.indexOf(said[1]) : -1;
  return movement >= 0 && outline.movements[movement] ? [movement, text.slice(said[0].length)] : [null, text];
}

function find(outline, movement, label, pass, nth) {
  const named = outline.bars.filter((b) => String(b.label).toLowerCase() === label.toLowerCase());
  const inside = named.filter((b) => movement !== null && movementOf(b.i, outline) === movement);
  const bars = inside.length ? inside : named;
  if (nth) return bars.find((b) => b.nth === Number(nth))?.i ?? null;
  const played = pass && bars.find((b) => b.passes?.includes(Number(pass)));
  if (played ?? bars[0]) return (played || bars[0]).i;
  const letters = (outline.letters ?? []).filter((m) => m.text.toLowerCase() === label.toLowerCase());
  return (letters.find((m) => movement !== null && movementOf(m.bar, outline) === movement) ?? letters[0])?.bar ?? null;
}

export function movementOf(bar, outline) {
  return outline.movements.findIndex((m) => bar >= m.first && bar <= m.last);
}

function one(bar, outline) {
  const b = outline.bars[bar];
  return b.nth > 1 ? `${b.label}/${b.nth}` : String(b.label);
}

/** Bars as one types them, "II: 9-12" where they are not in the first of several movements. */
export function typeBars(first, last, outline) {
  if (first === null) return "";
  const movement = outline.movements.length > 1 ? movementOf(first, outline) : 0;
  return (movement > 0 ? `${ROMANS[movement] ?? movement + 1}: ` : "") + span(first, last, outline);
}

function span(first, last, outline) {
  return first === last ? one(first, outline) : `${one(first, outline)}-${one(last, outline)}`;
}

/** A bar as an address has it: "24a,2"; the pass only where it is not the first. */
export function addressOf(bar, outline, pass = null) {
  const { label, nth, passes } = outline.bars[bar];
  const played = pass ?? passes?.[0] ?? 1;
  return `${label}${played > 1 ? `,${played}` : ""}${nth > 1 ? `/${nth}` : ""}`;
}

/** What an address asks for: {b: place or null, c: a second place or null}. */
export function readAddress(hash, outline) {
  const asked = new URLSearchParams(hash.replace(/^#/, ""));
  const m = Number(asked.get("m")) - 1;
  const movement = outline.movements[m] ? m : null;
  const place = (name) => (asked.get(name) ? parseBars(asked.get(name), outline, movement) : null);
  const n = Number(asked.get("n")) - 1;
  const other = outline.movements[n] ? n : movement;
  return { b: place("b"), c: asked.get("c") ? parseBars(asked.get("c"), outline, other) : null };
}

/** What an address asks for that is not there, as it was written; null if all is well. */
export function missingBar(hash, outline) {
  const asked = new URLSearchParams(hash.replace(/^#/, "")).get("b");
  return asked && !readAddress(hash, outline).b ? asked.slice(0, 20) : null;
}

/** The address of a place, and of a second one beside it. */
export function writeAddress(outline, bar, { pass = null, beside = null } = {}) {
  const several = outline.movements.length > 1;
  const parts = [];
  if (several) parts.push(`m=${movementOf(bar, outline) + 1}`);
  parts.push(`b=${addressOf(bar, outline, pass)}`);
  if (beside && several) parts.push(`n=${movementOf(beside.first, outline) + 1}`);
  if (beside) parts.push(`c=${span(beside.first, beside.last, outline)}`);
  return `#${parts.join("&")}`;
}
