// The list of bars: when each begins, whether that was tapped or worked out, and how to mend it.

const STEP = 0.05; // s

export function rowsOf(taps, known, { hear, nudge, remove }) {
  const times = new Map(known.map(([place, start, , tapped]) => [place, { start, tapped }]));
  return taps.bars.map((bar, place) => {
    const at = taps.at(place) ?? times.get(place)?.start;
    const tapped = taps.at(place) !== undefined;
    const name = `${bar.label}${bar.pass > 1 ? `, time ${bar.pass}` : ""}`;
    const row = document.createElement("tr");
    const head = document.createElement("th");
    head.scope = "row";
    head.textContent = name;
    row.append(head, cell(at === undefined ? "–" : `${at.toFixed(2)} s`, "num"), cell(tapped ? "tapped" : at === undefined ? "no time" : "worked out"));
    const acts = cell("");
    if (times.has(place)) acts.append(button("Hear", `Hear bar ${name}`, () => hear(place)), " ");
    if (tapped) {
      acts.append(button("Earlier", `Bar ${name} ${STEP} s earlier`, () => nudge(place, -STEP)), " ", button("Later", `Bar ${name} ${STEP} s later`, () => nudge(place, STEP)), " ", button("Remove", `Remove the tap of bar ${name}`, () => remove(place)));
    }
    row.append(acts);
    return row;
  });
}

function cell(text, name = "") {
  const made = document.createElement("td");
  made.className = name;
  made.textContent = text;
  return made;
}

function button(text, label, onclick) {
  const made = document.createElement("button");
  made.type = "button";
  made.textContent = text;
  made.setAttribute("aria-label", label);
  made.addEventListener("click", onclick);
  return made;
}
