// Printing a score whose pages come only when somebody comes near: they are all fetched first.

const LOOK = 200; // ms

export function setUpPrinting(view) {
  const button = document.getElementById("print-score");
  if (!button) return;
  const said = document.getElementById("print-said");
  const say = (text) => { said.textContent = text; };
  const missing = () => [...view.sheet.querySelectorAll(".score-page:not(:has(svg))")];
  let busy = false;

  async function pagesOf() {
    if (view.strip) { // one line has no pages: the passage is printed as it stands on paper
      const layout = document.getElementById("layout-view");
      layout.value = "";
      layout.dispatchEvent(new Event("change"));
    }
    while (!view.complete) {
      if (view.problem) return false;
      say(view.status.textContent || "The pages are being engraved…");
      await new Promise((done) => { setTimeout(done, LOOK); });
    }
    const all = view.sheet.querySelectorAll(".score-page").length;
    for (const figure of missing()) {
      say(`Fetching page ${all - missing().length + 1} of ${all}…`);
      await figure.load();
      if (!figure.querySelector("svg")) return false;
    }
    return true;
  }

  async function print() {
    if (busy) return;
    busy = true;
    const whole = await pagesOf();
    busy = false;
    say(whole ? "" : "Not printed: a page of the score did not come. Press Print once more.");
    if (whole) window.print();
  }

  button.hidden = false;
  button.addEventListener("click", print);
  document.addEventListener("keydown", (event) => {
    if (event.key !== "p" || !(event.ctrlKey || event.metaKey) || event.shiftKey || event.altKey) return;
    event.preventDefault();
    print();
  });
  // By the browser's own menu nothing can be waited for: the paper says what is not on it.
  const gap = document.createElement("p");
  gap.className = "print-gap";
  view.root.before(gap);
  addEventListener("beforeprint", () => {
    const n = missing().length;
    gap.textContent = n ? `${n === 1 ? "1 page" : `${n} pages`} of the score had not been fetched when this was printed. “Print” beside the score fetches them first.` : "";
  });
}
