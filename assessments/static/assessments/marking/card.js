// What to do now: the landmark that is meant next, in words and in a small figure, and the arrows
// that move the mark placed last.

import { frameOf, plain } from "./frames.js";
import { sentence } from "./words.js";

const IN_FRAME = { before: "in the frame before the strike", at: "in the frame at the strike" };

const CLOSE_UP = ["ground_contact", "club_head"];

export class Card {
  // `start` are the marks of the still before this one, or null.
  constructor(root, marks, { nudged, start }) {
    Object.assign(this, { root, marks, start });
    this.part = (name) => root.querySelector(`[data-${name}]`);
    this.part("skip").addEventListener("click", () => marks.skip());
    this.part("clear").addEventListener("click", () => marks.clear(marks.selected));
    this.part("confirm").addEventListener("click", () => {
      marks.confirm(marks.selected);
      if (marks.selected) nudged();
    });
    this.part("start").addEventListener("click", () => {
      marks.startFrom(start);
      if (marks.selected) nudged();
    });
    for (const button of root.querySelectorAll("[data-nudge]")) {
      const [du, dv] = button.dataset.nudge.split(" ").map(Number);
      button.addEventListener("click", () => {
        marks.nudge(du, dv);
        nudged();
      });
    }
  }

  draw() {
    const { byKey, next, points, selected, unconfirmed } = this.marks;
    const meant = byKey[next];
    const words = meant ? this.#meant(meant) : this.#nothingMeant();
    for (const [name, text] of Object.entries(words)) this.part(name).textContent = text;
    this.part("skip").hidden = !meant || meant.required || Boolean(points[next]);
    this.part("start").hidden = !this.start || Object.keys(points).length > 0;
    this.#figure(next ?? selected);
    this.part("adjust").hidden = !selected;
    if (selected) this.part("adjust-label").textContent = byKey[selected].label;
    this.part("confirm").hidden = !unconfirmed.includes(selected);
  }

  #meant(meant) {
    const { hasTwoFrames, landmarks } = this.marks;
    const place = `Point ${landmarks.indexOf(meant) + 1} of ${landmarks.length}`;
    const frame = hasTwoFrames ? `, ${IN_FRAME[meant.frame]}` : "";
    const count = `${place}, ${meant.required ? "needed" : "optional"}${frame}`;
    return { count, label: sentence(meant.label), where: meant.where };
  }

  #nothingMeant() {
    const { byKey, frame, hasTwoFrames, selected, unconfirmed } = this.marks;
    if (unconfirmed.length && selected) {
      const { label, where } = byKey[selected];
      const left = `${unconfirmed.length} left to confirm`;
      const count = hasTwoFrames ? `${left}, ${IN_FRAME[frameOf(selected)]}` : left;
      return { count, label: sentence(label), where: `${where} Or confirm it where it is.` };
    }
    return {
      count: hasTwoFrames ? `Nothing left to mark ${IN_FRAME[frame]}` : "Nothing left to mark",
      label: "Look through, then save",
      where: "Drag a mark to move it, or choose one from the list to place it again.",
    };
  }

  #figure(key) {
    const spotOf = key && plain(key);
    const isBall = Boolean(key) && (spotOf.startsWith("ball") || CLOSE_UP.includes(spotOf));
    for (const view of this.root.querySelectorAll("[data-view]")) {
      view.toggleAttribute("data-shown", (view.dataset.view === "ball") === isBall);
    }
    for (const spot of this.root.querySelectorAll("[data-spot]")) {
      spot.toggleAttribute("data-shown", spot.dataset.spot === spotOf);
    }
  }
}
