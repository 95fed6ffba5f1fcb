// Every landmark as a row: a button that chooses it, and its position as two numbers, so that a
// still can be marked without a pointer.

import { lent } from "./inputs.js";

const lentKeys = (marks) => Object.keys(lent(marks.in("before"), marks.in("at")));

function stateOf({ point, isOpen, isLent }) {
  if (isOpen) return "taken from the still before, to be confirmed";
  if (point) return "marked";
  return isLent ? "taken from the frame before the strike" : "not marked";
}

export class PointList {
  constructor(root, marks, { chosen }) {
    this.marks = marks;
    this.rows = [...root.querySelectorAll("[data-landmark]")].map((row) => this.#row(row, chosen));
    root.addEventListener("keydown", (event) => {
      if (event.key !== "Enter" || event.target.tagName !== "INPUT") return;
      event.preventDefault(); // Enter takes over the number; only the button saves
      event.target.dispatchEvent(new Event("change", { bubbles: true }));
    });
  }

  draw() {
    const { next, points, selected, unconfirmed } = this.marks;
    const lent = lentKeys(this.marks);
    for (const { row, key, button, inputs, state } of this.rows) {
      const point = points[key];
      row.toggleAttribute("data-placed", Boolean(point));
      row.toggleAttribute("data-selected", key === selected);
      if (key === next) button.setAttribute("aria-current", "step");
      else button.removeAttribute("aria-current");
      const isOpen = unconfirmed.includes(key);
      row.toggleAttribute("data-unconfirmed", isOpen);
      row.toggleAttribute("data-lent", lent.includes(key));
      state.textContent = stateOf({ point, isOpen, isLent: lent.includes(key) });
      inputs.forEach((input, i) => {
        if (point) input.value = point[i];
        else if (document.activeElement?.closest("[data-landmark]") !== row) input.value = "";
      });
    }
  }

  #row(row, chosen) {
    const key = row.dataset.landmark;
    const button = row.querySelector("button");
    const inputs = [...row.querySelectorAll("input")];
    button.addEventListener("click", () => chosen(key));
    row.addEventListener("change", () => this.#typed(key, inputs));
    return { row, key, button, inputs, state: row.querySelector("[data-state]") };
  }

  #typed(key, inputs) {
    const isEmpty = inputs.every(({ value, validity }) => value === "" && !validity.badInput);
    const numbers = inputs.map(({ valueAsNumber }) => valueAsNumber);
    if (isEmpty && this.marks.points[key]) this.marks.clear(key);
    else if (numbers.every(Number.isFinite)) this.marks.place(key, numbers);
  }
}
