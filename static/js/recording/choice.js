// In the player: the synthesiser, or a recording whose bars the tutor has tapped. What cannot be done
// with a recording is closed meanwhile and says why.

import { Tape } from "./tape.js";

const WHY = "A recording is heard as it was played: nobody can be left out, the order of the bars is its own, and it is not given out as a file.";

/**
 * @param root of the controls; what only the synthesiser can do stands in [data-synthesiser]
 * @param say(text) a trouble; tried(act) an act whose trouble is said
 */
export async function offerRecordings(root, player, { source, id, say, tried }) {
  const answer = await fetch(source.recordingsUrl, { headers: { Accept: "application/json" } }).catch(() => null);
  const found = answer?.ok ? (await answer.json()).recordings : [];
  if (!found.length) return;
  const choice = document.createElement("select");
  choice.id = id("sound");
  choice.append(new Option("Synthesiser", ""), ...found.map((r, n) => new Option(`Recording: ${r.name}`, n)));
  const label = document.createElement("label");
  label.htmlFor = choice.id;
  label.textContent = "Sound";
  const who = document.createElement("span");
  who.className = "muted small";
  const row = document.createElement("div");
  row.className = "player-row player-sound";
  row.append(label, choice, who);
  const why = document.createElement("p");
  why.className = "muted small player-why";
  why.id = id("why");
  why.textContent = WHY;
  why.hidden = true;
  root.querySelector(".player-row").after(row, why);

  const closed = new Set();
  function close(on) {
    why.hidden = !on;
    for (const part of root.querySelectorAll("[data-synthesiser]")) {
      if (on) part.setAttribute("aria-describedby", why.id);
      else part.removeAttribute("aria-describedby");
      for (const field of part.querySelectorAll("button, input, select")) {
        if (on && !field.disabled) { field.disabled = true; closed.add(field); }
      }
    }
    if (!on) { for (const field of closed) field.disabled = false; closed.clear(); }
  }

  let written = null; // the synthesiser's times of the bars
  let tape = null;
  async function use(recording) {
    who.textContent = "The recording is being fetched…";
    const answer = await fetch(recording.timeline, { headers: { Accept: "application/json" } }).catch(() => null);
    if (!answer?.ok) throw new Error("The bars of this recording could not be fetched. Choose it once more, or the synthesiser.");
    const timeline = await answer.json();
    if (!timeline.bars.length) throw new Error("None of the bars that were tapped is in this file of the score. Choose the synthesiser.");
    const next = new Tape(recording.sound, (text) => { say(text); player.pause(); });
    await next.ready;
    written ??= player.timeline;
    player.useTape(next, timeline);
    tape?.close();
    tape = next;
    close(true);
    who.textContent = [recording.performers, reach(timeline.bars)].filter(Boolean).join(" · ");
  }

  function synthesiser() {
    if (written) player.useTape(null, written);
    written = null;
    tape?.close();
    tape = null;
    close(false);
    who.textContent = "";
  }

  choice.addEventListener("change", tried(async () => {
    choice.disabled = true;
    try {
      if (choice.value) await use(found[choice.value]);
      else synthesiser();
    } catch (problem) {
      synthesiser();
      choice.value = "";
      throw problem;
    } finally { choice.disabled = false; choice.focus(); }
  }));
}

// Which bars it has, and how many of them nobody tapped.
function reach(bars) {
  const worked = bars.filter((bar) => !bar.tapped).length;
  const all = `bars ${bars[0].label} to ${bars.at(-1).label}`;
  return worked ? `${all}, ${worked} of them worked out between taps` : all;
}
