// Reading on from the foot of a passage: what stands before it and after it, by name.

/**
 * @param beyond (by, view) => {first, last} of the passage before (-1) or after (1), or null
 * @param open shows a passage
 */
export function setUpFoot(view, beyond, open) {
  const foot = document.createElement("p");
  foot.className = "acts leaf-foot no-print";
  foot.hidden = true;
  const ways = [[-1, "Back to"], [1, "On to"]].map(([by, word]) => {
    const button = document.createElement("button");
    button.type = "button";
    button.addEventListener("click", () => {
      open(beyond(by, view.view));
      view.root.scrollIntoView({ block: "start" });
    });
    foot.append(button);
    return { by, word, button };
  });
  (view.root.closest(".places") ?? view.root).after(foot);
  view.root.addEventListener("score:opened", ({ detail: shown }) => {
    const passage = shown.first !== undefined && !shown.layout;
    for (const { by, word, button } of ways) {
      const to = passage ? beyond(by, shown) : null;
      button.hidden = !to;
      if (to) button.textContent = `${word} ${to.first === to.last ? "bar" : "bars"} ${view.span(to.first, to.last)}`;
    }
    foot.hidden = ways.every(({ button }) => button.hidden);
  });
}
