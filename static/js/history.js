// Earlier versions of a statement: read, and one taken again as the newest.

export function historyOf(row, { url, take }) {
  const box = document.createElement("details");
  box.className = "history";
  const summary = Object.assign(document.createElement("summary"), { textContent: `${row.number} versions` });
  const list = document.createElement("ol");
  list.reversed = true;
  list.start = row.number;
  box.append(summary, list);
  box.addEventListener("toggle", async () => {
    if (!box.open || list.childElementCount) return;
    const answer = await fetch(`${url}${row.client_key}/versions/`).catch(() => null);
    if (!answer?.ok) {
      list.append(Object.assign(document.createElement("li"), { textContent: "The versions could not be fetched. Open this again when the connection is back." }));
      box.addEventListener("toggle", () => { if (!box.open) list.replaceChildren(); }, { once: true });
      return;
    }
    for (const version of await answer.json()) list.append(item(version));
  });

  function item(version) {
    const li = document.createElement("li");
    const at = new Date(version.at).toLocaleString([], { day: "numeric", month: "long", hour: "2-digit", minute: "2-digit" });
    const { words, doubt } = version.typed;
    const said = [version.bars, version.kind, version.said, words && `“${words}”`, doubt && `doubt: ${doubt}`].filter(Boolean).join(" · ");
    li.append(`${said} `, Object.assign(document.createElement("span"), { className: "muted small", textContent: at }), " ");
    if (version.number < row.number && !row.fixed) {
      const again = Object.assign(document.createElement("button"), { type: "button", className: "plain", textContent: "Take this one again" });
      again.addEventListener("click", () => take(version));
      li.append(again);
    }
    return li;
  }
  return box;
}
