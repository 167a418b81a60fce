// A sentence proposes the statement it makes; the student takes it over or goes on by hand.

const PAUSE = 700;

export function setUpProposal({ desk, token, here, take }) {
  const input = document.getElementById("s-sentence");
  const box = document.getElementById("proposal");
  if (!input) return;
  let timer = null;
  let asked = "";
  let latest = null;

  const line = (tag, text, className = "") => Object.assign(document.createElement(tag), { textContent: text, className });

  function show(found) {
    latest = found;
    box.replaceChildren();
    if (!found) return;
    if (found.kind) {
      const where = found.bars ? `${input.dataset.bars} ${found.bars}` : "";
      box.append(line("p", [found.kind_label, where, found.said].filter(Boolean).join(" · ")));
    } else if (!found.questions.length) box.append(line("p", input.dataset.none, "muted"));
    for (const note of found.notes) box.append(line("p", note, "muted"));
    if (found.questions.length) {
      const list = document.createElement("ul");
      for (const question of found.questions) list.append(line("li", question));
      box.append(list);
    }
    if (found.kind) {
      const button = Object.assign(line("button", input.dataset.take), { type: "button" });
      button.addEventListener("click", taken);
      box.append(button);
    }
  }

  async function taken() {
    const found = latest;
    const words = input.value.trim();
    input.value = "";
    asked = "";
    show(null);
    await take(found, words);
  }

  async function ask() {
    clearTimeout(timer);
    const sentence = input.value.trim();
    if (sentence === asked) return;
    asked = sentence;
    if (sentence.length < 4) { show(null); return; }
    const headers = { "Content-Type": "application/json", "X-CSRFToken": token };
    const answer = await fetch(desk.dataset.proposalUrl, { method: "POST", headers, body: JSON.stringify({ sentence, bar: here() }) }).catch(() => null);
    if (sentence !== input.value.trim()) return; // more was typed meanwhile
    show(answer?.ok ? await answer.json() : null);
    if (!answer?.ok) { asked = ""; box.append(line("p", input.dataset.away, "muted")); }
  }

  input.addEventListener("input", () => { clearTimeout(timer); timer = setTimeout(ask, PAUSE); });
  input.addEventListener("keydown", async (event) => {
    if (event.key !== "Enter") return;
    event.preventDefault(); // the form is kept by its own button
    await ask();
    box.querySelector("button")?.focus();
  });
}
