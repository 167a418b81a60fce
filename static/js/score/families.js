// Families and sections in the choice of parts: a button ticks all of one, or none of it.

const FAMILIES = ["woodwind", "brass", "percussion", "keyboard", "plucked", "voice", "strings"];

export function familyButtons(outline, boxes, changed) {
  const place = document.getElementById("families");
  if (!place) return;
  const rows = FAMILIES.map((name) => [name, outline.parts.filter((p) => p.family === name).map((p) => p.id)]);
  // Sections: several staves of one instrument, as "horns" or "violins".
  const kinds = [...new Set(outline.parts.map((p) => p.instrument))].filter((i) => i !== "unknown");
  for (const kind of kinds) rows.push([`${kind.replace("-", " ")}s`, outline.parts.filter((p) => p.instrument === kind).map((p) => p.id)]);
  const buttons = rows.filter(([name, ids]) => ids.length > (FAMILIES.includes(name) ? 0 : 1) && ids.length < outline.parts.length).map(([name, ids]) => {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "plain";
    button.textContent = name;
    const own = () => boxes().filter((b) => ids.includes(b.value));
    const show = () => button.setAttribute("aria-pressed", String(own().every((b) => b.checked)));
    button.addEventListener("click", () => {
      const to = !own().every((b) => b.checked);
      for (const b of own()) b.checked = to;
      changed();
      for (const other of buttons) other.show();
    });
    for (const b of boxes()) b.addEventListener("change", show);
    for (const id of ["all-parts", "no-parts"]) document.getElementById(id)?.addEventListener("click", () => setTimeout(show));
    show();
    return { button, show };
  });
  place.append(...buttons.map((b) => b.button));
}
