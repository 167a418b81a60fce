// Small things every page has. No dependency, no inline handlers.

import { setUpMargin } from "./margin.js";
import { forgetOffline } from "./offline/offline.js";
import { setUpReader } from "./reader.js";

// A submitted form with data-once cannot be sent twice by a double click.
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.matches("[data-once]")) return;
  if (form.dataset.sent) { event.preventDefault(); return; }
  form.dataset.sent = "1";
  window.setTimeout(() => delete form.dataset.sent, 8000);
});

const margin = document.querySelector(".desk > .margin");
if (margin) setUpMargin(margin);

// Signed out, nothing of a score stays in this browser.
if (!document.querySelector(".site-who")) forgetOffline();

const reader = document.getElementById("reader");
if (reader) setUpReader(reader);

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
