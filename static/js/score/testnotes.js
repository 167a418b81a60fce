// Test notes of the part table: what is written, as it would sound.

import { Player } from "../player/player.js";

const table = document.querySelector("table.parts");
let player = null;
table?.addEventListener("click", async (event) => {
  const button = event.target.closest("[data-note]");
  if (!button) return;
  player ??= await Player.forNotes(table.dataset.soundfont);
  player.note(Number(button.dataset.note), Number(button.dataset.program));
});
