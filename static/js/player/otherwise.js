// The score played otherwise: its bars in another order, or some notes of a passage alone by what
// the reading says. What may be chosen is the server's to say, for the bars at hand.

import { element } from "./controls.js";

// Nothing to choose where no bar is played twice or stands under an ending.
export function order(player, id, { outline, source, tried }) {
  const bars = outline?.bars ?? [];
  if (!bars.some((b) => b.ending || (b.passes ?? [1]).length > 1)) return "";
  const choice = element("select", { id: id("order") },
    new Option("as they stand, each bar once", "printed"),
    new Option("once through, last endings only", "once"),
    new Option("played as printed", "played"));
  choice.addEventListener("change", tried(async () => {
    choice.disabled = true;
    try { await source.inOrder(player, choice.value); } finally { choice.disabled = false; }
    choice.focus();
  }));
  source.addEventListener("order", () => { choice.value = source.order; });
  return element("div", { className: "player-row", "data-synthesiser": "" }, element("label", { htmlFor: choice.id }, "Repeats"), choice);
}

export function reading(player, id, { selection, source, tried }) {
  const choice = element("select", { id: id("reading") });
  const box = element("div", { className: "player-row", hidden: true, "data-synthesiser": "" }, element("label", { htmlFor: choice.id }, "In these bars hear"), choice);
  const everybody = () => new Option("everybody", "");
  choice.append(everybody());
  let shown = "";
  async function offer(span) {
    const at = `${span.first}-${span.last}`;
    if (at === shown) return;
    shown = at;
    const found = await source.choices(span);
    if (shown !== at) return;
    const kept = choice.value;
    const groups = [["only", "Only"], ["without", "Everybody without"]].map(([how, title]) => {
      const group = document.createElement("optgroup");
      group.label = title;
      group.append(...found.map((c) => new Option(`${how} ${how === "without" ? c.out ?? c.label : c.label}`, `${how}=${c.key}`)));
      return group;
    });
    choice.replaceChildren(everybody(), ...(found.length ? groups : []));
    choice.value = kept;
    if (choice.selectedIndex < 0) choice.value = "";
    source.how = choice.value;
    box.hidden = found.length === 0;
  }
  // Only what is played is asked for: the choice of the bars on which Play is pressed.
  choice.addEventListener("change", () => { source.how = choice.value; });
  player.before = async (span) => {
    if (span && !span.parts?.length) await offer(span);
    await source.hear(player, span?.parts?.length ? null : span, choice.value);
  };
  // It never starts by itself: what plays goes on with the new choice, else Play begins it.
  choice.addEventListener("change", tried(async () => {
    const span = source.at ?? selection?.();
    if (!span) return;
    if (player.playing) { await player.playBars(span.first, span.last); return; }
    await source.hear(player, span, choice.value);
    player.setPassage(span.first, span.last);
  }));
  source.addEventListener("asked", (event) => { offer(event.detail).catch(() => {}); });
  return box;
}

// One mixed file of the bars at hand, made by the server: who is heard now, at the tempo chosen.
export function takeAway(player, { selection, source, tried }) {
  const said = element("span", { className: "muted small", role: "status" });
  const button = element("button", { type: "button" }, "Download these bars (WAV)");
  button.addEventListener("click", tried(async () => {
    button.disabled = true;
    said.textContent = "The file is being made…";
    try {
      const answer = await fetch(source.excerpt(player, selection()));
      if (!answer.ok) throw new Error((await answer.json().catch(() => ({}))).detail ?? "The file could not be made. Try fewer bars, or once more.");
      const link = document.createElement("a");
      link.href = URL.createObjectURL(await answer.blob());
      link.download = /filename="([^"]+)"/.exec(answer.headers.get("Content-Disposition") ?? "")?.[1] ?? "bars.wav";
      link.click();
      setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
      said.textContent = "The file is among your downloads.";
    } catch (problem) {
      said.textContent = "";
      throw problem;
    } finally { button.disabled = false; button.focus(); }
  }));
  return element("div", { className: "player-row", "data-synthesiser": "" }, button, said);
}
