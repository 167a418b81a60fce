// Choosing bars with a finger: tap the first one, tap the last one. Nothing has to be dragged, for a
// finger that drags moves the page.

export class Tapping {
  #view; #first = null; #box; #say;

  constructor(view) {
    this.#view = view;
    this.#box = document.createElement("div");
    this.#box.className = "tapping";
    this.#box.hidden = true;
    this.#say = document.createElement("span");
    this.#say.setAttribute("role", "status");
    this.#box.append(this.#say, this.#button("Only this", () => this.end()), this.#button("Let go", () => { this.end(); view.clear(); }));
    view.root.append(this.#box);
    view.root.addEventListener("score:opened", () => this.end());
  }

  /** A tap on a bar, and on a staff of it where it was one. */
  tap({ bar, part }) {
    const first = this.#first;
    if (first !== null && bar !== first) {
      this.end();
      this.#view.choose(bar, { extend: true, part });
      return;
    }
    this.end();
    this.#view.choose(bar, { part });
    if (first !== null) return; // the same bar again: this one it is
    this.#first = bar;
    this.#box.hidden = false;
    this.#say.textContent = `From bar ${this.#view.label(bar)}: tap the last bar.`;
  }

  end() { this.#first = null; this.#box.hidden = true; this.#say.textContent = ""; }

  #button(text, act) {
    const made = document.createElement("button");
    made.type = "button";
    made.className = "plain";
    made.textContent = text;
    made.addEventListener("click", act);
    return made;
  }
}
