// What is in sight, and how the page is moved to bring it there.

const MOVES = ["wheel", "touchmove", "keydown"];

/** How a page may be moved: at once for those who want no motion. */
export function calm() { return matchMedia("(prefers-reduced-motion: reduce)").matches ? "auto" : "smooth"; }

/** Whether some of an element of the sheet is seen: in the window, with nothing laid over it. */
export function visible(el) {
  const b = el.getBoundingClientRect();
  const x = Math.min(Math.max((b.left + b.right) / 2, 2), innerWidth - 2);
  if (b.right < 0 || b.left > innerWidth) return false;
  return [b.top + 2, (b.top + b.bottom) / 2, b.bottom - 2].some((y) => y > 0 && y < innerHeight
    && document.elementFromPoint(x, y)?.closest(".sheet"));
}

/** Tells, until `off` is called, whether somebody moves the page: with the wheel, a finger, a key. */
export function somebody() {
  const by = { taken: false };
  const take = (event) => { if (event.type !== "keydown" || /^Page(Up|Down)$/.test(event.key)) by.taken = true; };
  for (const name of MOVES) addEventListener(name, take, { passive: true });
  by.off = () => { for (const name of MOVES) removeEventListener(name, take); };
  return by;
}

/** Done when the page no longer moves. */
export function stillness() {
  return new Promise((done) => {
    let at = [scrollX, scrollY], still = 0;
    const look = () => {
      still = at[0] === scrollX && at[1] === scrollY ? still + 1 : 0;
      at = [scrollX, scrollY];
      if (still > 2) done(); else setTimeout(look, 60);
    };
    setTimeout(look, 60);
  });
}
