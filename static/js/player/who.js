// Who is heard by family and by section: one row a set, to hear it alone or leave it out.

import { element } from "./controls.js";

const FAMILIES = { woodwind: "woodwind", brass: "brass", percussion: "percussion", keyboard: "keyboard", plucked: "plucked", voice: "voices", strings: "strings" };

export function sets(player, outline) {
  const known = player.timeline.parts;
  const found = Object.entries(FAMILIES).map(([family, name]) => [name, known.filter((p) => p.family === family).map((p) => p.id)]);
  const families = found.filter(([, ids]) => ids.length && ids.length < known.length);
  const instruments = [...new Set((outline?.parts ?? []).map((p) => p.instrument))].filter((i) => i && i !== "unknown");
  const sections = instruments
    .map((kind) => [`${kind.replaceAll("-", " ")}s`, outline.parts.filter((p) => p.instrument === kind).map((p) => p.id)])
    .filter(([, ids]) => ids.length > 1 && ids.length < known.length);
  const rows = [...families, ...sections].map(([name, ids]) => row(player, name, ids));
  player.addEventListener("parts", () => rows.forEach((one) => one.show()));
  return element("ul", { className: "player-parts player-sets", role: "list", "aria-label": "Families and sections" }, ...rows.map((one) => one.node));
}

function row(player, name, ids) {
  const parts = player.timeline.parts.map((p) => p.id);
  const others = parts.filter((id) => !ids.includes(id));
  const only = button("Only", `Only the ${name}`, () => player.hear(pressed(only) ? parts : ids));
  const without = button("Leave out", `Leave out the ${name}`, () => {
    const heard = parts.filter((id) => !player.isMuted(id));
    player.hear(pressed(without) ? [...heard, ...ids] : heard.filter((id) => !ids.includes(id)));
  });
  const show = () => {
    const alone = player.soloed === null && ids.every((id) => !player.isMuted(id)) && others.every((id) => player.isMuted(id));
    only.setAttribute("aria-pressed", String(alone));
    without.setAttribute("aria-pressed", String(player.soloed === null && ids.every((id) => player.isMuted(id))));
    for (const one of [only, without]) one.classList.toggle("on", pressed(one));
  };
  show();
  return { node: element("li", {}, element("span", {}, name), element("span", { className: "player-pair" }, only, without)), show };
}

const pressed = (made) => made.getAttribute("aria-pressed") === "true";

function button(text, label, onclick) {
  const made = element("button", { type: "button", "aria-label": label, "aria-pressed": "false" }, text);
  made.addEventListener("click", onclick);
  return made;
}
