// The place one reads at: in the address, kept over a reload, and back again by the browser's
// own button. Scrolling rewrites the address; a jump adds one step to the history.

import { movementOf, parseBars, readAddress, writeAddress } from "./bars.js";
import { somebody } from "./sight.js";

const WAIT = 400; // ms of rest before the address follows

/** What the address asked for when the page was opened. */
export const asked = (outline) => readAddress(location.hash, outline);

export function setUpPlace(view, { remember, beside = null }) {
  const { outline, root } = view;
  history.scrollRestoration = "manual"; // the address says where, in whatever order pages arrive
  let bar = null, seen = null, pass = asked(outline).b?.pass ?? null, wait = null, going = false;
  let opened = asked(outline).b?.first ?? null; // the bar its pass belongs to

  const address = () => writeAddress(outline, bar, { pass: bar === opened ? pass : null, beside: beside?.passage ?? null });
  const put = (step) => {
    if (bar === null || address() === location.hash) return;
    history[step ? "pushState" : "replaceState"](history.state, "", address());
  };
  const note = () => { clearTimeout(wait); if (going || bar === null) return; put(false); remember({ bar }); };

  root.addEventListener("score:place", (event) => {
    seen = event.detail.bar;
    if (going) return;
    bar = seen;
    clearTimeout(wait);
    wait = setTimeout(note, WAIT);
  });
  addEventListener("pagehide", note);

  /** Go to a place as by a leap: the place before is one step back. */
  async function leap(to, { step = true } = {}) {
    if (step) note();
    clearTimeout(wait);
    going = true;
    ({ first: bar, pass = null } = to);
    opened = bar;
    if (step) put(true);
    // Whoever scrolls meanwhile has taken over: then the place is where the scrolling ends.
    const by = somebody();
    const mark = await view.goTo(to.first, to.last ?? to.first, { block: "start" });
    by.off();
    going = false;
    if (by.taken && seen !== null) { bar = seen; put(false); }
    remember({ bar });
    return mark;
  }

  addEventListener("popstate", () => {
    const place = readAddress(location.hash, outline);
    if (place.b) leap(place.b, { step: false });
    beside?.follow(place.c);
  });
  beside?.changed(() => { if (bar !== null) put(true); });

  return { leap, parse: (text) => parseBars(text, outline, bar === null ? null : movementOf(bar, outline)), get bar() { return bar; } };
}
