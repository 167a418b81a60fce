// The notebook: a key for each new entry; beside a score the form empties once it is kept.

import { freshKeys } from "./keys.js";
import { toldWhy } from "./signed-out.js";

freshKeys();
const form = document.getElementById("notebook-form");
form?.addEventListener("htmx:afterRequest", (event) => {
  const kept = event.detail.successful && !document.querySelector("#noted .doubt");
  if (!kept) {
    const { successful, xhr } = event.detail;
    const noted = document.getElementById("noted");
    if (!successful && !(xhr?.status && toldWhy(xhr, (text) => { noted.textContent = text; }, noted))) noted.textContent = "Not kept: no connection. What you typed is still here.";
    return;
  }
  form.querySelector("textarea").value = "";
  form.querySelector("[type=checkbox]").checked = false;
  freshKeys();
});
