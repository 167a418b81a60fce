// A second place beside the first: a theme and its return, each in a frame of its own.

import { parseBars, readAddress, typeBars } from "./bars.js";
import { setUpRails } from "./rails.js";
import { ScoreView, passageFrom } from "./viewer.js";

const AT_FIRST = 8; // bars shown of a place nobody has chosen yet

export function setUpBeside(main) {
  const box = document.getElementById("beside");
  const button = document.getElementById("two-places");
  if (!box || !button) return null;
  const { outline } = main;
  const field = box.querySelector("input");
  const told = [];
  let view = null, passage = null;
  button.hidden = false;

  // The first place has another width now; it is set anew and found again.
  async function refit() {
    const place = Number(main.root.dataset.place ?? main.view?.first ?? 0);
    main.open({ ...main.view });
    await main.goTo(place, place, { block: "start" });
  }

  function show(to, { tell = true } = {}) {
    const first = passage === null;
    passage = { first: to.first, last: to.last };
    box.hidden = false;
    box.parentElement.classList.add("two");
    button.setAttribute("aria-pressed", "true");
    field.value = typeBars(passage.first, passage.last, outline);
    if (first && main.view) refit();
    if (!view) { view = new ScoreView(box.querySelector(".score-view"), outline); setUpRails(view); }
    view.scale(main.zoom);
    view.open({ ...passage, pitch: main.view?.pitch, staves: main.view?.staves, parts: main.view?.parts ?? [] });
    if (tell) for (const tellOf of told) tellOf();
  }

  function close({ tell = true } = {}) {
    if (passage === null) return;
    passage = null;
    box.hidden = true;
    box.parentElement.classList.remove("two");
    button.setAttribute("aria-pressed", "false");
    refit();
    if (tell) for (const tellOf of told) tellOf();
  }

  button.addEventListener("click", () => {
    if (passage) { close(); return; }
    const { first, last } = main.selection;
    const from = first ?? Number(main.root.dataset.place ?? 0);
    show(first !== null && last > first ? { first, last } : passageFrom(outline, from, from + AT_FIRST - 1));
    field.select();
  });
  box.querySelector("form").addEventListener("submit", (event) => {
    event.preventDefault();
    const to = parseBars(field.value, outline);
    field.setCustomValidity(to ? "" : "There are no such bars. Write them like 24-31.");
    field.reportValidity();
    if (to) show(to.last > to.first ? to : passageFrom(outline, to.first, to.first + AT_FIRST - 1));
  });
  field.addEventListener("input", () => field.setCustomValidity(""));
  box.querySelector("[data-close]").addEventListener("click", () => { close(); button.focus(); });
  main.root.addEventListener("score:scaled", () => view?.scale(main.zoom));

  const asked = readAddress(location.hash, outline).c;
  if (asked) show(asked, { tell: false });
  return {
    get passage() { return passage; },
    changed: (tellOf) => told.push(tellOf),
    follow: (to) => {
      if (!to) close({ tell: false });
      else if (to.first !== passage?.first || to.last !== passage?.last) show(to, { tell: false });
    },
  };
}
