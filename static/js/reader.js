// How pages look to a reader: a choice holds at once and is kept by the server, for the account and
// for this browser. The page comes with its choices already on it: no script is needed for that.

export function setUpReader(panel) {
  const form = panel.querySelector("form"), status = panel.querySelector("[role=status]");
  panel.classList.add("by-itself");
  form.addEventListener("change", async (event) => {
    const { name, value } = event.target;
    const root = document.documentElement;
    if (value) root.dataset[name] = value; else delete root.dataset[name];
    document.dispatchEvent(new CustomEvent("reader:changed", { detail: { name } }));
    status.textContent = "";
    const answer = await fetch(form.action, { method: "POST", body: new FormData(form), headers: { Accept: "application/json" } }).catch(() => null);
    if (!answer?.ok) status.textContent = status.dataset.away;
  });
  panel.addEventListener("keydown", (event) => {
    if (event.key !== "Escape") return;
    panel.open = false;
    panel.querySelector("summary").focus();
    event.stopPropagation();
  });
  document.addEventListener("pointerdown", (event) => { if (!panel.contains(event.target)) panel.open = false; });
}
