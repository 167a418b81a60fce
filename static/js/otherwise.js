// The bars at hand without a part, or with it an octave away; and blind: which of the two was it?
// It has a player of its own, so that the score's player stays as it was. What is counted is
// forgotten with the page.

const POLL = 700, PATIENCE = 100; // ms, times

export function setUpOtherwise(view, sound) {
  const box = document.getElementById("otherwise");
  if (!box) return;
  const $ = (name) => document.getElementById(`otherwise-${name}`);
  const part = $("part"), how = $("how"), said = $("said"), asks = $("asks"), stop = $("stop");
  let ready = null, blind = null, heard = null, right = 0, guessed = 0;
  const say = (text) => { said.textContent = text; };

  function query() {
    const { first, last } = view.selection;
    const chosen = first !== null && first !== undefined;
    const from = chosen ? first : view.view?.first ?? 0;
    const to = chosen ? last ?? first : view.view?.last ?? view.outline.bars.length - 1;
    return { first: from, last: to, part: part.value, how: how.value };
  }

  async function play(asked, more) {
    say("");
    const answer = await fetch(`${box.dataset.midiUrl}?${new URLSearchParams({ ...asked, ...more })}`).catch(() => null);
    if (!answer?.ok) {
      say((await answer?.json().catch(() => null))?.detail ?? "The sound could not be fetched; try again.");
      return false;
    }
    const midi = await answer.arrayBuffer();
    sound?.stop(); // one of the two players at a time
    try {
      ready ??= newPlayer(box.dataset, say);
      const player = await ready;
      say("");
      if (!player.told) player.addEventListener("state", (event) => { stop.hidden = !event.detail.playing; });
      player.told = true;
      await player.use(midi);
      await player.playBars(asked.first, asked.last);
    } catch (problem) {
      ready = null;
      say(problem.message || "The sound could not be played here.");
      return false;
    }
    return true;
  }

  for (const button of box.querySelectorAll("[data-as]")) {
    button.addEventListener("click", () => { forget(); play(query(), { as: button.dataset.as }); });
  }
  stop.addEventListener("click", async () => { (await ready)?.stop(); });

  const forget = () => { blind = null; asks.hidden = true; };
  $("blind").addEventListener("click", async () => {
    heard = query();
    blind = crypto.randomUUID?.() ?? String(Math.random()).slice(2);
    asks.hidden = !(await play(heard, { blind }));
  });
  $("again").addEventListener("click", () => play(heard, { blind }));
  for (const button of asks.querySelectorAll("[data-guess]")) {
    button.addEventListener("click", async () => {
      const answer = await fetch(`${box.dataset.toldUrl}?${new URLSearchParams({ ...heard, blind })}`).catch(() => null);
      if (!answer?.ok) { say("The answer could not be fetched; try again."); return; }
      const { otherwise } = await answer.json();
      const hit = otherwise === (button.dataset.guess === "otherwise");
      guessed += 1;
      if (hit) right += 1;
      forget();
      say(`${hit ? "Yes" : "No"}: it was ${otherwise ? `the part ${how.selectedOptions[0].textContent}` : "as it stands"}.`);
      $("count").textContent = `${right} of ${guessed} heard rightly; guessing gives about half.`;
      $("blind").focus();
    });
  }
  // Another part or another change is another question.
  for (const field of [part, how]) field.addEventListener("change", forget);
  view.root.addEventListener("score:selection", ({ detail }) => {
    if (detail.parts?.length === 1) part.value = detail.parts[0];
  });
  // The score's own player takes over when it is used.
  document.getElementById("player")?.addEventListener("click", async () => { if (ready) (await ready).pause(); });
}

// The times of the bars are the worker's: the first time they are waited for.
async function newPlayer({ timelineUrl, soundfont }, say) {
  say("Fetching the sound…");
  const { Player } = await import("./player/player.js");
  for (let tries = 0; tries < PATIENCE; tries += 1) {
    const answer = await fetch(timelineUrl);
    if (answer.status === 200) return new Player({ timeline: await answer.json(), soundfontUrl: soundfont });
    if (answer.status !== 202) break;
    await new Promise((done) => { setTimeout(done, POLL); });
  }
  throw new Error("The sound of the score could not be fetched. Try again in a moment.");
}
