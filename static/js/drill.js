// Transposing by hand: a note of the score is asked, answered by a button or in words, and told
// why. Questions and answers are the server's; what is counted here is forgotten with the page.

export function setUpDrill(view) {
  const box = document.getElementById("drill");
  if (!box) return;
  const $ = (name) => document.getElementById(`drill-${name}`);
  const form = $("form"), asks = $("asks"), choices = $("choices"), said = $("said"), told = $("told"), next = $("next");
  let turn = 0, ready = [], now = null, of = "", right = 0, asked = 0, first = true;

  const span = () => {
    const { first: from, last } = view.selection;
    if (from !== null && from !== undefined) return [from, last ?? from];
    return [view.view?.first ?? 0, view.view?.last ?? view.outline.bars.length - 1];
  };
  const query = () => { const [from, last] = span(); return `first=${from}&last=${last}&way=${$("way").value}&parts=${$("part").value}`; };

  async function fetched(url) {
    const answer = await fetch(url).catch(() => null);
    if (answer?.status === 404) { say(["Nothing is asked here just now."]); return null; }
    const data = await answer?.json().catch(() => null);
    if (!answer?.ok || !data) { say([data?.detail ?? "That could not be fetched; try again."]); return null; }
    return data;
  }

  async function ask() {
    if (of !== query() || !ready.length) {
      of = query();
      const data = await fetched(`${box.dataset.url}?${of}&turn=${turn++}`);
      if (!data) { of = ""; return; }
      const kept = $("part").value;
      $("part").replaceChildren($("part").options[0], ...data.parts.map((p) => new Option(p.label, p.id)));
      $("part").value = kept;
      ready = data.questions;
      if (!ready.length) {
        form.hidden = true;
        now = null;
        say([data.parts.length ? "No note of these bars sounds other than it is written. Choose other bars." : "No part of this score transposes."]);
        return;
      }
    }
    now = ready.shift();
    first = true;
    say([]);
    asks.replaceChildren(Object.assign(document.createElement("span"), { className: "muted small", textContent: now.where }), document.createElement("br"), now.asks);
    choices.replaceChildren(...now.choices.map((name) => {
      const button = Object.assign(document.createElement("button"), { type: "button", textContent: name });
      button.addEventListener("click", () => answer(name));
      return button;
    }));
    said.value = "";
    form.hidden = false;
    next.textContent = "Another one";
    show(hides());
    asks.focus();
  }

  // The page itself would answer where it shows the pitch that is asked for.
  const hides = () => (view.view?.pitch ?? "written") === ($("way").value === "written" ? "sounding" : "written");
  async function show(light) {
    const { note, bar } = now;
    view.dark();
    if (!light) return;
    await view.goTo(bar, bar, { lit: true });
    if (now?.note === note) view.light([note]);
  }

  async function answer(text) {
    const here = now;
    const data = await fetched(`${box.dataset.answerUrl.replace("ID", here.note)}?way=${$("way").value}&said=${encodeURIComponent(text)}${first ? "" : "&tell=1"}`);
    if (!data || here !== now) return;
    if (data.right !== null && first) { // the first answer counts, the others are for learning
      first = false;
      asked += 1;
      if (data.right) right += 1;
      $("count").textContent = `${right} of ${asked} at the first try`;
    }
    for (const button of choices.children) if (button.textContent === text && data.right !== null) button.dataset.said = data.right ? "right" : "wrong";
    say(data.lines, data.right);
    if (data.right !== null) show(true);
    if (data.right) next.focus();
  }

  function say(lines, how = null) {
    told.dataset.how = how === null ? "" : how ? "right" : "wrong";
    told.replaceChildren(...lines.map((text) => Object.assign(document.createElement("p"), { textContent: text })));
  }

  form.addEventListener("submit", (event) => { event.preventDefault(); if (said.value.trim()) answer(said.value); });
  next.addEventListener("click", ask);
  for (const name of ["part", "way"]) $(name).addEventListener("change", () => { if (now) ask(); });
  box.addEventListener("toggle", () => { if (!box.open) { view.dark(); now = null; form.hidden = true; say([]); next.textContent = "Ask me a note"; } });
}
