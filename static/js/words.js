// Words of the trade: a press shows what one means, another hides it again. The list of keys: "?".

document.addEventListener("click", (event) => {
  const button = event.target.closest(".term > button");
  if (!button) return;
  const text = document.getElementById(button.getAttribute("aria-controls"));
  text.hidden = !text.hidden;
  button.setAttribute("aria-expanded", String(!text.hidden));
});

const keys = document.getElementById("keys-dialog");
if (keys) {
  for (const opener of document.querySelectorAll("[data-open-keys]")) opener.addEventListener("click", () => keys.showModal());
  document.addEventListener("keydown", (event) => {
    if (event.key !== "?" || event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.target.closest("input:not([type=checkbox], [type=radio], [type=range]), textarea, select, [contenteditable]")) return;
    event.preventDefault();
    if (keys.open) keys.close(); else keys.showModal();
  });
}
