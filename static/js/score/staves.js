// On which staves one sees the music: as printed, or set by us. What is ours says so above the
// score, with the way back to what is printed beside it.

/**
 * @returns {asked: of the query, own: the one part shown as its player has it or null, changed}
 */
export function setUpStaves(view, { kept, remember }) {
  const select = document.getElementById("staves-view"), part = document.getElementById("own-part");
  if (!select) return { asked: {}, own: null, changed: () => {} };
  const { root } = view;
  const told = [];
  const word = document.createElement("p"), say = document.createElement("span"), back = document.createElement("button");
  word.className = "editorial";
  word.hidden = true;
  word.setAttribute("role", "status");
  back.type = "button";
  back.className = "plain";
  back.textContent = "As printed";
  word.append(say, " ", back);
  root.prepend(word);

  if (!view.outline.parts.some((p) => p.instrument === "cello-and-bass")) select.querySelector("[value=low]")?.remove();
  const has = (field, value) => [...field.options].some((o) => o.value === value);
  if (kept.staves && has(select, kept.staves)) select.value = kept.staves;
  if (kept.own && has(part, kept.own)) part.value = kept.own;
  const own = () => (select.value === "part" ? part.value : null);
  const name = () => part.selectedOptions[0].textContent;
  const show = () => {
    part.closest(".field").hidden = select.value !== "part";
    word.hidden = select.value === "";
    const said = {
      part: `${name()} as its player has it, rests counted.`,
      players: "each wind player on a staff; where the page does not say who plays, the first player has the notes.",
      pairs: "single players of one instrument, two on a staff.",
      low: "cellos and basses of one staff apart; the basses sound an octave lower.",
    };
    say.textContent = select.value ? `Editorial, set by us: ${said[select.value]}` : "";
  };
  let was = own();
  const change = () => {
    show();
    remember({ staves: select.value, own: part.value });
    for (const tell of told) tell({ was });
    was = own();
  };
  select.addEventListener("change", change);
  part.addEventListener("change", change);
  back.addEventListener("click", () => { select.value = ""; change(); select.focus(); });
  show();
  return {
    get asked() { return { staves: select.value || undefined }; },
    get own() { return own(); },
    changed: (tell) => told.push(tell),
  };
}
