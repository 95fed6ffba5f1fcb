// The cells of all days: where they are, what stands in them, and how they are marked.

const CELL = "td[data-slot]";
const CARD = "[data-session]";

export class Board {
  #marks = [];

  constructor(root) {
    this.root = root;
    this.cells = [...root.querySelectorAll(CELL)];
    for (const cell of this.cells) cell.tabIndex = -1;
    for (const card of root.querySelectorAll(CARD)) {
      card.setAttribute("role", "button");
      card.draggable = false;
    }
  }

  // The cell that the element is in or is; null for anything else.
  cellOf(element) {
    const cell = element?.closest?.(CELL);
    return cell && this.root.contains(cell) ? cell : null;
  }

  cardOf(element) {
    const card = element?.closest?.(CARD);
    return card && this.root.contains(card) ? card : null;
  }

  cardIn(cell) {
    return cell.querySelector(CARD);
  }

  cellUnder({ clientX, clientY }) {
    return this.cellOf(document.elementFromPoint(clientX, clientY));
  }

  at(day, slot, column) {
    return this.cells.find((cell) => keyOf(cell) === [day, slot, column].join("-"));
  }

  // So many columns and slots further on the same day; null beyond the edge.
  neighbour(cell, [right, down]) {
    const rows = [...cell.closest("tbody").rows].filter((row) => row.querySelector(CELL));
    const row = rows[rows.indexOf(cell.parentElement) + down];
    return this.cellOf(row?.cells[cell.cellIndex + right]);
  }

  // `judge(key)` says "here", "yes", "no" or "" for each cell.
  mark(judge) {
    this.unmark();
    for (const cell of this.cells) {
      const fit = judge(keyOf(cell));
      cell.dataset.fit = fit || "none";
      if (fit) this.#marks.push(cell.insertAdjacentElement("beforeend", sign(fit)));
    }
  }

  unmark() {
    for (const mark of this.#marks) mark.remove();
    this.#marks = [];
    for (const cell of this.cells) delete cell.dataset.fit;
    this.aim(null);
  }

  // The one cell that the pointer or the keyboard is over.
  aim(cell) {
    for (const aimed of this.root.querySelectorAll("[data-aim]")) delete aimed.dataset.aim;
    if (cell) cell.dataset.aim = "";
  }
}

export function keyOf(cell) {
  const { slot, column } = cell.dataset;
  return [cell.closest("[data-day]").dataset.day, slot, column].join("-");
}

const SIGNS = { here: "● Is here", yes: "✓ Fits", no: "✕ No" };

function sign(fit) {
  const mark = document.createElement("span");
  mark.className = "fit";
  mark.textContent = SIGNS[fit];
  return mark;
}
