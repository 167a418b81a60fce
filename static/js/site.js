// Small things every page has. No dependency, no inline handlers.

// A submitted form with data-once cannot be sent twice by a double click.
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.matches("[data-once]")) return;
  if (form.dataset.sent) { event.preventDefault(); return; }
  form.dataset.sent = "1";
  window.setTimeout(() => delete form.dataset.sent, 8000);
});

// On a small screen the margin lies below the score; one button lowers and raises it.
const margin = document.querySelector(".desk > .margin");
if (margin) {
  const handle = document.createElement("button");
  handle.type = "button";
  handle.className = "margin-handle";
  const show = (low) => {
    margin.classList.toggle("low", low);
    handle.setAttribute("aria-expanded", String(!low));
    handle.textContent = low ? "Show the margin" : "Lower the margin";
  };
  show(matchMedia("(max-width: 60rem) and (max-height: 26rem)").matches); // hardly a system is left
  handle.addEventListener("click", () => show(!margin.classList.contains("low")));
  margin.prepend(handle);
}

// Focus the first field that has something to mend.
const wrong = document.querySelector(".errorlist");
if (wrong) {
  const field = wrong.parentElement?.querySelector("input, select, textarea");
  field?.focus();
}

// One's own time zone stands first; a new course begins with it.
for (const select of document.querySelectorAll("select[name=zone]")) {
  const here = Intl.DateTimeFormat().resolvedOptions().timeZone;
  const own = [...select.options].find((o) => o.value === here);
  if (!own) continue;
  const chosen = select.value;
  select.prepend(own);
  select.value = select.dataset.here && chosen === "UTC" ? here : chosen;
}
