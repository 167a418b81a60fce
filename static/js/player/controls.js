// The player's controls: words on every button, everything by keyboard, nothing by itself.
//
//   buildControls(container, player, { outline, selection, source, bar })
//
// selection(): {first, last, parts} of the score view, bar indices; may be missing.
// source: what else the server can play of the score (`source.js`); may be missing.
// bar: an element that stays in reach while one reads, for play and stop; else they stand first.

import { sets } from "./who.js";
import { order, reading, takeAway } from "./otherwise.js";
import { offerRecordings } from "../recording/choice.js";

let count = 0;

export function element(name, attributes = {}, ...children) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (key in made && key !== "list") made[key] = value;
    else made.setAttribute(key, value);
  }
  made.append(...children);
  return made;
}

function button(text, onclick, attributes = {}) {
  const made = element("button", { type: "button", ...attributes }, text);
  made.addEventListener("click", onclick);
  return made;
}

export function buildControls(container, player, { outline = null, selection = null, source = null, bar = null } = {}) {
  count += 1;
  const id = (name) => `player-${count}-${name}`;
  const trouble = element("p", { className: "player-trouble", role: "alert" });
  const tried = (act) => async () => {
    trouble.textContent = "";
    try { await act(); } catch (problem) { trouble.textContent = problem.message; }
  };

  const play = button("Play", tried(() => player.toggle()), { className: "player-play" });
  const stop = button("Stop", () => player.stop());
  const row = element("div", { className: "player-row" }, play, stop);
  if (selection) {
    row.append(button("Play the selected bars", tried(() => {
      const { first, last, parts = [] } = selection();
      return player.playBars(first, last, { parts });
    })));
  }
  const whole = button("Play all", tried(() => player.playAll()));
  const where = element("span", { className: "player-where num" });
  row.append(...(bar ? [where] : [whole, where]));

  const otherwise = source ? [order(player, id, { outline, source, tried }), reading(player, id, { selection, source, tried })] : [];
  const speed = tempo(player, id);
  if (bar) { bar.append(row); speed.prepend(whole); }
  const root = element("div", { className: "player-controls" }, ...(bar ? [] : [row]), speed, repeat(player, id), ...otherwise, parts(player, id, outline), trouble);
  if (source?.excerptUrl && selection) root.append(takeAway(player, { selection, source, tried }));
  const spoken = voice(player, id);
  root.append(...spoken.nodes);
  container.append(root);
  if (source?.recordingsUrl) offerRecordings(root, player, { source, id, tried, say: (text) => { trouble.textContent = text; } });

  player.addEventListener("state", (event) => {
    play.textContent = event.detail.playing ? "Pause" : "Play";
  });
  player.addEventListener("count", (event) => { where.textContent = `${event.detail.beat} of ${event.detail.of}`; });
  player.addEventListener("tick", (event) => {
    if (player.counting) return;
    const { label, pass, playing, bar } = event.detail;
    const text = bar === null ? "" : `Bar ${label}${pass > 1 ? `, time ${pass}` : ""}`;
    if (where.textContent !== text) where.textContent = text;
    spoken.say(text, playing);
  });
  const keys = { l: "loop", m: "click", c: "count-in" };
  for (const box of bar ? [root, bar] : [root]) box.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.target.closest("select")) return;
    if (keys[event.key]) root.querySelector(`#${id(keys[event.key])}`)?.click();
    if (event.key !== " " || event.target.closest("button, input[type=checkbox], summary")) return;
    event.preventDefault();
    play.click();
  });
  return { root, dispose: () => { root.remove(); bar?.remove(); } };
}

function tempo(player, id) {
  const slider = element("input", { type: "range", id: id("tempo"), min: "0.25", max: "1.2", step: "0.05", value: String(player.tempo) });
  const shown = element("output", { className: "num" });
  shown.htmlFor = id("tempo");
  const show = () => {
    const percent = `${Math.round(player.tempo * 100)} %`;
    shown.value = percent;
    slider.setAttribute("aria-valuetext", `${percent} of the tempo`);
  };
  slider.addEventListener("input", () => { player.tempo = Number(slider.value); show(); });
  show();
  return element("div", { className: "player-row" }, element("label", { htmlFor: id("tempo") }, "Tempo"), slider, shown);
}

function tick(text, checked, onchange, attributes = {}) {
  const box = element("input", { type: "checkbox", checked, ...attributes });
  box.addEventListener("change", () => onchange(box.checked));
  return element("label", { className: "player-tick" }, box, ` ${text}`);
}

function repeat(player, id) {
  const ticks = [tick("Repeat these bars", player.loop, (on) => { player.loop = on; }, { id: id("loop") })];
  if (player.canClick) {
    ticks.push(tick("Click on the beats", player.click, (on) => { player.click = on; }, { id: id("click") }));
    ticks.push(tick("Count in one bar", player.countIn, (on) => { player.countIn = on; }, { id: id("count-in") }));
  }
  return element("div", { className: "player-row" }, ...ticks);
}

function parts(player, id, outline) {
  const rows = player.timeline.parts.map((part) => partRow(player, part, id));
  const list = element("ul", { className: "player-parts", role: "list" }, ...rows.map((row) => row.node));
  const all = button("Hear all", () => player.hearAll());
  const legend = element("legend", {}, "Untick a part to leave it out.");
  const box = element("details", { className: "player-who", "data-synthesiser": "" }, element("summary", {}, "Who is heard"), element("fieldset", {}, legend, all, sets(player, outline), list));
  player.addEventListener("parts", () => rows.forEach((row) => row.show()));
  return box;
}

function partRow(player, part, id) {
  const name = part.label || `Part ${part.index + 1}`;
  const box = element("input", { type: "checkbox", id: id(`part-${part.index}`) });
  box.addEventListener("change", () => player.mute(part.id, !box.checked));
  const alone = button("Only this", () => player.solo(player.soloed === part.id ? null : part.id), { "aria-label": `Only this: ${name}` });
  const show = () => {
    box.checked = !player.isMuted(part.id);
    const on = player.soloed === part.id;
    alone.setAttribute("aria-pressed", String(on));
    alone.classList.toggle("on", on);
  };
  show();
  const label = element("label", { className: "player-tick", htmlFor: box.id }, box, ` ${name}`);
  return { node: element("li", {}, label, alone), show };
}

// Says the bar politely, not more often than every four seconds; can be silenced.
function voice(player, id) {
  const region = element("p", { className: "visually-hidden", role: "status", "aria-live": "polite" });
  let on = true;
  let last = 0;
  const box = tick("Say the bars aloud to a screen reader", on, (now) => { on = now; if (!on) region.textContent = ""; }, { id: id("voice") });
  return {
    nodes: [element("div", { className: "player-row" }, box), region],
    say(text, playing) {
      const now = Date.now();
      if (!on || !playing || region.textContent === text || now - last < 4000) return;
      last = now;
      region.textContent = text;
    },
  };
}
