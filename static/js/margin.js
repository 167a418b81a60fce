// The margin on a small screen: it comes up from below. Beside a score it lies low until it is wanted,
// so that the music is in sight first; one button raises it, a second one brings its form at once.

const SMALL = "(max-width: 60rem)";
const HARDLY = "(max-width: 60rem) and (max-height: 26rem)"; // a system is left of the window

export function setUpMargin(margin) {
  const bar = document.createElement("div"), handle = document.createElement("button");
  bar.className = "margin-bar";
  handle.type = "button";
  handle.className = "margin-handle";
  const form = margin.querySelector("[data-raise]");
  bar.append(handle, ...(form ? [form] : []));
  margin.prepend(bar);

  const show = (low) => {
    margin.classList.toggle("low", low);
    handle.setAttribute("aria-expanded", String(!low));
    handle.textContent = low ? "Show the margin" : "Lower the margin";
  };
  const raise = () => { if (margin.classList.contains("low")) show(false); };

  // What is to be mended, or asked for by its address, is shown at once.
  const wanted = margin.querySelector(".errorlist") || (location.hash.length > 1 && margin.querySelector(`[id="${CSS.escape(location.hash.slice(1))}"]`));
  show(!wanted && matchMedia(SMALL).matches && (margin.classList.contains("low") || matchMedia(HARDLY).matches));

  handle.addEventListener("click", () => show(!margin.classList.contains("low")));
  form?.addEventListener("click", () => {
    raise();
    const to = document.getElementById(form.dataset.raise);
    to.tabIndex = -1;
    to.focus({ preventScroll: true }); // no field: its keyboard would cover the form
    margin.scrollTop += to.getBoundingClientRect().top - margin.getBoundingClientRect().top - bar.offsetHeight;
  });
  // Whatever gets the focus, or asks for it, is seen.
  margin.addEventListener("focusin", (event) => { if (!bar.contains(event.target)) raise(); });
  margin.addEventListener("margin:wanted", () => { if (matchMedia(SMALL).matches) raise(); });
}
