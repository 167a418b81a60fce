// A passage of a score beside a thread.
import { freshKeys } from "./keys.js";
import { ScoreView } from "./score/viewer.js";
import { readJson } from "./score/tools.js";
import { playByKey, setUpSound } from "./score/sound.js";

const root = document.getElementById("score");
const outline = readJson("outline");
const view = new ScoreView(root, outline);
const first = Math.max(0, Number(root.dataset.first) - 1);
const last = Math.min(outline.bars.length - 1, Number(root.dataset.last) + 1);
view.open({ first, last });
view.select({ first: Number(root.dataset.first), last: Number(root.dataset.last) });
playByKey(setUpSound(document.getElementById("player"), view, outline));
freshKeys();
