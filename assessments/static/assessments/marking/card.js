// What to do now: the landmark that is meant next, in words and in a small figure, and the arrows
// that move the mark placed last.

import { sentence } from "./words.js";

export class Card {
  constructor(root, marks, { nudged }) {
    this.root = root;
    this.marks = marks;
    this.part = (name) => root.querySelector(`[data-${name}]`);
    this.part("skip").addEventListener("click", () => marks.skip());
    this.part("clear").addEventListener("click", () => marks.clear(marks.selected));
    for (const button of root.querySelectorAll("[data-nudge]")) {
      const [du, dv] = button.dataset.nudge.split(" ").map(Number);
      button.addEventListener("click", () => {
        marks.nudge(du, dv);
        nudged();
      });
    }
  }

  draw() {
    const { byKey, landmarks, next, points, selected } = this.marks;
    const meant = byKey[next];
    const place = `Point ${landmarks.indexOf(meant) + 1} of ${landmarks.length}`;
    this.part("count").textContent = meant
      ? `${place}, ${meant.required ? "needed" : "optional"}`
      : "Nothing left to mark";
    this.part("label").textContent = meant ? sentence(meant.label) : "Look through, then save";
    this.part("where").textContent = meant
      ? meant.where
      : "Drag a mark to move it, or choose one from the list to place it again.";
    this.part("skip").hidden = !meant || meant.required || Boolean(points[next]);
    this.#figure(next ?? selected);
    this.part("adjust").hidden = !selected;
    if (selected) this.part("adjust-label").textContent = byKey[selected].label;
  }

  #figure(key) {
    const isBall = Boolean(key) && (key.startsWith("ball") || key === "ground_contact");
    for (const view of this.root.querySelectorAll("[data-view]")) {
      view.toggleAttribute("data-shown", (view.dataset.view === "ball") === isBall);
    }
    for (const spot of this.root.querySelectorAll("[data-spot]")) {
      spot.toggleAttribute("data-shown", spot.dataset.spot === key);
    }
  }
}
