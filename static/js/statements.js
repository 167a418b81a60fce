// The form of a statement, its drafts, and handing in. Kept on the server a moment
// after each change; kept in the browser while the server cannot be reached.

import { historyOf } from "./history.js";
import { newKey } from "./keys.js";
import { setUpProposal } from "./proposal.js";
import { typeBars } from "./score/tools.js";
import { toldWhy } from "./signed-out.js";
import { setUpStages } from "./stages.js";

const WAIT = 1500;
const AGAIN = 10_000; // ms until what did not arrive is tried once more

export function setUpStatements({ desk, view, outline }) {
  const form = document.getElementById("statement");
  const fields = document.getElementById("kind-fields");
  const kept = document.getElementById("kept");
  const list = document.getElementById("statements");
  const none = document.getElementById("no-statements");
  const url = desk.dataset.statementsUrl;
  const token = JSON.parse(document.body.getAttribute("hx-headers"))["X-CSRFToken"];
  const stored = JSON.parse(document.getElementById("paper-statements").textContent);
  const rows = new Map(stored.map((row) => [row.client_key, row]));
  // A page that comes without a line is older than what was kept since.
  const lately = `kept:${url}`;
  const since = document.documentElement.dataset.offline ? JSON.parse(localStorage.getItem(lately) ?? "{}") : {};
  for (const row of Object.values(since)) if ((rows.get(row.client_key)?.number ?? 0) < row.number) rows.set(row.client_key, row);
  const keepLately = (row) => { since[row.client_key] = row; localStorage.setItem(lately, JSON.stringify(since)); };
  const forms = new Map();
  let current = null; // client key of the statement in the form
  let timer = null;
  let partsField = null;
  // What is not on the server yet: key -> { data, number }, the version it was made from.
  const unsent = JSON.parse(localStorage.getItem(`unsent:${url}`) ?? "{}");
  for (const [key, kept] of Object.entries(unsent)) if (!kept.data) unsent[key] = { data: kept, number: rows.get(key)?.number };
  const remember = () => localStorage.setItem(`unsent:${url}`, JSON.stringify(unsent));

  // A notice stands until the form is emptied or another statement is opened.
  let standing = "";
  const say = (text, notice = "") => {
    standing = text ? notice || standing : "";
    kept.textContent = [standing, text].filter(Boolean).join(" ");
  };

  async function kindForm(kind) {
    if (!forms.has(kind)) {
      const answer = await fetch(desk.dataset.formUrl.replace("KIND", kind)).catch(() => null);
      if (answer?.ok) forms.set(kind, await answer.text());
    }
    if (form.kind.value !== kind) return; // another kind was chosen while this one was on its way
    if (!forms.has(kind)) say("The fields of this kind could not be fetched. Choose the kind again when the connection is back.");
    fields.innerHTML = forms.get(kind) ?? "";
    for (const input of fields.querySelectorAll("[data-parts]")) {
      input.addEventListener("focus", () => { partsField = input; });
    }
    partsField = fields.querySelector("[data-parts]");
  }

  function typed() {
    const says = {};
    for (const input of fields.querySelectorAll("input, select, textarea")) {
      if (!input.name) continue;
      const name = input.name.replace(/^k-/, "");
      if (input.type === "checkbox") { if (input.checked) says[name] = "on"; }
      else if (input.value) says[name] = input.value;
    }
    return {
      kind: form.kind.value, prompt: form.prompt.value || null, says, bars: form.bars.value,
      words: form.words.value, sense: form.sense.value, doubt: form.doubt.value,
    };
  }

  // A choice says something where it could have been left open.
  const chosen = (input) => input?.matches("[data-parts], [type=text], [type=number], textarea") || (input?.matches("select") && input.options[0]?.value === "");
  // Bars alone are no statement yet: one chooses them all the time while reading.
  const empty = (data) => !data.words && !data.doubt && !Object.keys(data.says).some((n) => chosen(fields.querySelector(`[name="k-${n}"]`)));

  // Every change says of which version it is one; what is new says so.
  async function put(key, data, number) {
    const headers = { "Content-Type": "application/json", "X-CSRFToken": token };
    if (number) headers["If-Match"] = String(number); else headers["If-None-Match"] = "*";
    return fetch(`${url}${key}/`, { method: "PUT", headers, body: JSON.stringify(data) });
  }

  // One save after the other: a slow answer must not make the next save look like a stranger's.
  let line = Promise.resolve(null);
  function save(key = current, data = typed(), notice = "") {
    clearTimeout(timer);
    return !key || empty(data) ? Promise.resolve(null) : queue(key, data, notice);
  }

  function queue(key, data, notice = "") {
    unsent[key] = { ...unsent[key], data, number: madeFrom(key) };
    remember();
    line = line.then(() => send(key, data, notice), () => send(key, data, notice));
    return line;
  }

  const twins = new Map(); // statements that were changed elsewhere -> ours of the same words
  const madeFrom = (key) => unsent[key] ? unsent[key].number : rows.get(key)?.number;
  const words = ({ kind, says, bars, words, sense, doubt }) => JSON.stringify([kind, Object.entries(says).sort(), bars, words, sense, doubt]);

  async function send(asked, data, notice) {
    const key = twins.get(asked) ?? asked;
    say("keeping…");
    let answer;
    try { answer = await put(key, data, madeFrom(key)); }
    catch {
      if (unsent[key]) unsent[key].lost = words(data); // it may have arrived though its answer did not
      remember();
      say("No connection: kept in this browser, sent as soon as it is back.");
      tryAgain();
      return null;
    }
    if (answer.status === 412) {
      const { theirs } = await answer.json();
      const kept = unsent[key] ?? { data };
      if (kept.lost === words(theirs.typed)) { // not another window's: our own, arrived before
        unsent[key] = { data: kept.data, number: theirs.number };
        return send(key, data, notice);
      }
      const twin = newKey();
      twins.set(key, twin);
      unsent[twin] = { data: kept.data };
      delete unsent[key];
      remember();
      rows.set(key, theirs);
      current = key === current ? twin : current;
      return send(twin, data, "This statement was changed in another window. Both are kept: yours is a statement of its own now.");
    }
    if (answer.status === 409 && (rows.get(key)?.fixed || !askedNow(data.prompt))) return apart(key, data);
    if (toldWhy(answer, say, kept)) return null;
    if (answer.status >= 500) tryAgain();
    if (!answer.ok) { say((await answer.json().catch(() => ({}))).detail ?? "Not kept yet: it stays in this browser and is tried again."); return null; }
    const row = await answer.json();
    if (unsent[key] && words(unsent[key].data) !== words(data)) unsent[key] = { data: unsent[key].data, number: row.number };
    else delete unsent[key];
    remember();
    rows.set(key, row);
    keepLately(row);
    say(`kept ${new Date().toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" })}`, notice || row.notice);
    show();
    return row;
  }

  // Its stage was handed in meanwhile: what is typed becomes a statement of its own.
  const askedNow = (prompt) => !prompt || document.querySelector(`[data-answer="${prompt}"]`);
  function apart(key, data) {
    const mine = unsent[key]?.data ?? data;
    delete unsent[key];
    remember();
    if (rows.has(key) && words(rows.get(key).typed) === words(mine)) return null;
    const twin = newKey();
    twins.set(key, twin);
    unsent[twin] = { data: { ...mine, prompt: askedNow(mine.prompt) ? mine.prompt : null } };
    remember();
    if (key === current) current = twin;
    return send(twin, unsent[twin].data, "Its stage was handed in meanwhile. What you typed is kept as a statement of its own.");
  }

  function problems(row, { focus = false } = {}) {
    for (const old of form.querySelectorAll(".errorlist")) old.remove();
    let first = null;
    for (const [name, sentences] of Object.entries(row.problems)) {
      const input = form.querySelector(`[name="${name}"], [name="k-${name}"]`) ?? form.words;
      const ul = document.createElement("ul");
      ul.className = "errorlist";
      ul.id = `problem-${name}`;
      for (const sentence of sentences) ul.append(Object.assign(document.createElement("li"), { textContent: sentence }));
      input.before(ul);
      input.closest("details")?.setAttribute("open", "");
      input.setAttribute("aria-describedby", ul.id);
      first ??= input;
    }
    if (focus) first?.focus();
    return first === null;
  }

  function later() {
    clearTimeout(timer);
    current ??= newKey();
    timer = setTimeout(() => save(), WAIT);
  }

  async function fillKind(kind, says) {
    form.kind.value = kind;
    await kindForm(kind);
    for (const [name, value] of Object.entries(says ?? {})) {
      const input = fields.querySelector(`[name="k-${name}"]`);
      if (!input) continue;
      if (input.type === "checkbox") input.checked = Boolean(value); else input.value = value;
      input.closest("details")?.setAttribute("open", "");
    }
  }

  // A proposal fills in the form; bars that were chosen stay where the sentence names none.
  async function take(found, words) {
    await fillKind(found.kind, found.says);
    if (found.bars) form.bars.value = found.bars;
    if (!form.words.value) form.words.value = words;
    later();
    const row = await save();
    if (!row || problems(row, { focus: true })) form.querySelector("button[type=submit]").focus();
  }

  async function fill(row) {
    current = row.client_key;
    say("");
    form.prompt.value = row.prompt ?? "";
    await fillKind(row.typed.kind, row.typed.says);
    form.bars.value = row.typed.bars;
    form.words.value = row.typed.words;
    form.doubt.value = row.typed.doubt;
    form.sense.value = row.typed.sense;
    problems(row);
    if (row.first_bar !== null) { view.select({ first: row.first_bar, last: row.last_bar }); view.goTo(row.first_bar); }
    form.bars.focus();
  }

  // An earlier version becomes the newest; the one before it stays in the history, too.
  async function takeAgain(row, version) {
    await fill({ ...row, typed: version.typed, problems: {} });
    clearTimeout(timer);
    const kept = await save();
    if (kept) say("Taken again. What stood before is kept among the versions.");
    if (kept && problems(kept, { focus: true })) form.bars.focus();
  }

  function fresh({ keepPlace = false } = {}) {
    current = null;
    const { prompt, bars, kind } = form;
    const keep = { prompt: prompt.value, bars: keepPlace ? bars.value : "", kind: kind.value };
    form.reset();
    form.kind.value = keep.kind;
    form.prompt.value = keep.prompt;
    form.bars.value = keep.bars;
    problems({ problems: {} });
    say("");
    return kindForm(keep.kind);
  }

  function show() {
    const held = list.contains(document.activeElement) ? document.activeElement.dataset.of : null;
    list.replaceChildren();
    const counts = {};
    for (const row of rows.values()) {
      if (row.state === "withdrawn") continue;
      const [reason] = Object.values(row.problems).flat();
      if (!reason) counts[row.prompt ?? ""] = (counts[row.prompt ?? ""] ?? 0) + 1;
      const item = document.createElement("li");
      const where = Object.assign(document.createElement("span"), { className: "bars", textContent: row.typed.bars ? `${row.typed.bars} ` : "" });
      const label = form.kind.querySelector(`option[value="${row.typed.kind}"]`)?.textContent ?? row.typed.kind;
      const { words, doubt } = row.typed;
      const said = [row.said, words && `“${words}”`, doubt && `doubt: ${doubt}`].filter(Boolean).join(" · ");
      const which = row.round > 1 ? "second answer" : row.fixed ? "stays as it is" : "";
      const stands = row.state === "handed-in" ? "handed in" : reason ? `not complete yet: ${reason}` : row.fixed ? "" : "draft";
      const state = [which, stands].filter(Boolean).join(" · ");
      item.append(where, `${label}: ${said} `, Object.assign(document.createElement("span"), { className: "muted", textContent: state }), " ");
      const change = Object.assign(document.createElement("button"), { type: "button", className: "plain", textContent: "Change" });
      change.addEventListener("click", () => fill(row));
      const back = Object.assign(document.createElement("button"), { type: "button", className: "plain", textContent: "Take back" });
      back.addEventListener("click", async () => {
        const answer = await fetch(`${url}${row.client_key}/`, { method: "DELETE", headers: { "X-CSRFToken": token } }).catch(() => null);
        if (!answer) { say("No connection: it could not be taken back; try again."); return; }
        if (answer.ok) {
          rows.delete(row.client_key);
          delete since[row.client_key];
          localStorage.setItem(lately, JSON.stringify(since));
          if (current === row.client_key) fresh();
          show();
          say("taken back");
          (list.querySelector("button") ?? form.bars).focus();
        }
        else if (!toldWhy(answer, say, kept)) say((await answer.json().catch(() => ({}))).detail ?? "It could not be taken back; try again.");
      });
      for (const button of [change, back]) button.dataset.of = `${button.textContent} ${row.client_key}`;
      if (!row.fixed) item.append(change, " ", back);
      if (row.number > 1) item.append(historyOf(row, { url, take: (version) => takeAgain(row, version) }));
      list.append(item);
    }
    none.hidden = rows.size > 0;
    if (held) list.querySelector(`[data-of="${CSS.escape(held)}"]`)?.focus();
    for (const count of document.querySelectorAll("[data-count]")) {
      const n = counts[count.dataset.count] ?? 0;
      count.textContent = n;
      count.parentElement.hidden = n === 0 && count.parentElement.dataset.wanted === "0";
    }
  }

  form.kind.addEventListener("change", async () => { await kindForm(form.kind.value); later(); });
  form.addEventListener("input", later);
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    current ??= newKey();
    const row = await save();
    if (row && problems(row, { focus: true })) { await fresh({ keepPlace: view.selection.first !== null }); say(row.notice ? `Kept. ${row.notice}` : "Kept. You can state the next one."); form.bars.focus(); form.bars.select(); }
    if (!row && empty(typed())) { say("Say where and what first."); form.bars.focus(); }
  });
  document.getElementById("statement-new").addEventListener("click", () => fresh());
  const handIn = document.getElementById("hand-in");
  const asks = (yes) => { handIn.dataset.sure = yes ? "yes" : "no"; handIn.textContent = yes ? handIn.dataset.allTheSame : handIn.dataset.plain; };
  handIn.dataset.plain = handIn.textContent;
  asks(false);
  handIn.addEventListener("click", async () => {
    const row = current && !empty(typed()) ? await save() : null;
    if (row && !problems(row, { focus: true })) return;
    const state = document.getElementById("paper-state");
    const waiting = [];
    document.dispatchEvent(new CustomEvent("paper:leaving", { detail: waiting }));
    await Promise.all(waiting);
    const url = `${desk.dataset.handInUrl}?sure=${handIn.dataset.sure}`;
    const answer = await fetch(url, { method: "POST", headers: { "X-CSRFToken": token } }).catch(() => null);
    if (!answer) { state.textContent = "No connection. Your statements are kept; hand in when it is back."; return; }
    if (toldWhy(answer, (text) => { state.textContent = text; }, state)) return;
    const data = await answer.json().catch(() => ({ detail: "It could not be handed in; try again. Your statements are kept." }));
    state.textContent = answer.ok ? `handed in${data.late ? ", late" : ""}. Your tutor reads it. ${state.dataset.further}` : data.detail;
    asks(!answer.ok && data.asked); // what is missing is said once; the next press hands in
    if (answer.ok) { for (const r of rows.values()) r.state = "handed-in"; await fresh(); show(); }
  });
  async function begin(button) {
    if (current && !empty(typed())) await save();
    await fresh();
    form.prompt.value = button.dataset.prompt;
    if (button.dataset.kind) { form.kind.value = button.dataset.kind; await kindForm(button.dataset.kind); }
    form.bars.value = typeBars(Number(button.dataset.first), Number(button.dataset.last), outline);
  }
  for (const button of document.querySelectorAll("button[data-prompt]")) {
    button.addEventListener("click", () => begin(button));
    // "Answer this": its passage and kind, and on to the first thing to be said.
    document.querySelector(`[data-answer="${button.dataset.prompt}"]`)?.addEventListener("click", async () => {
      button.dispatchEvent(new CustomEvent("prompt:shown"));
      await begin(button);
      (fields.querySelector("input, select, textarea") ?? form.words).focus();
    });
  }
  document.getElementById("own-find")?.addEventListener("click", async () => {
    if (current && !empty(typed())) await save();
    await fresh();
    form.prompt.value = "";
    form.bars.focus();
  });
  view.root.addEventListener("score:selection", (event) => {
    const { first, last, parts } = event.detail;
    if (first === null) return;
    form.bars.value = typeBars(first, last, outline);
    if (parts.length && partsField) {
      partsField.value = parts.map((id) => outline.parts.find((p) => p.id === id)?.label).filter(Boolean).join(", ");
    }
    if (current) later(); // what has been begun follows the choice; looking around begins nothing
  });
  const arrived = (key, data) => rows.has(key) && words(rows.get(key).typed) === words(data);
  // What is in the form is sent as it stands now, the rest as it stood when it could not be sent.
  const sendUnsent = async () => {
    for (const [key, { data }] of Object.entries({ ...unsent })) {
      if (key === current) await save();
      else if (arrived(key, data)) { delete unsent[key]; remember(); }
      else await queue(key, data);
    }
  };
  let again = null;
  function tryAgain() { clearTimeout(again); again = setTimeout(sendUnsent, AGAIN); }
  window.addEventListener("online", sendUnsent);
  window.addEventListener("pagehide", () => {
    if (!current || empty(typed()) || arrived(current, typed())) return;
    unsent[current] = { ...unsent[current], data: typed(), number: madeFrom(current) };
    remember();
  });

  const first = document.querySelector("button[data-prompt]");
  if (first) { form.prompt.value = first.dataset.prompt; if (first.dataset.kind) form.kind.value = first.dataset.kind; }
  const here = () => view.selection?.first ?? Number(document.querySelector("button[data-prompt]")?.dataset.first ?? 0);
  setUpProposal({ desk, token, here, take });
  // What is in the form reaches the server before its stage is handed in; false: it could not.
  const keep = async () => {
    if (!current || empty(typed())) { await sendUnsent(); return true; }
    const row = await save();
    return Boolean(row) && problems(row, { focus: true });
  };
  setUpStages({ desk, token, keep });
  kindForm(form.kind.value);
  show();
  sendUnsent();
}
