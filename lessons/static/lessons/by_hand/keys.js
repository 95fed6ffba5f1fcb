// The grid by keyboard. Arrows go from cell to cell; Enter or Space picks a session up and puts it
// down; Page Up and Page Down change the day; Escape gives up.

import { keyOf } from "./board.js";

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
const PAGES = { PageUp: -1, PageDown: 1 };

export class Keys {
  constructor(board, days, hand) {
    Object.assign(this, { board, days, hand });
    board.root.addEventListener("keydown", (event) => this.#key(event));
    document.addEventListener("keydown", (event) => {
      if (event.key === "Escape" && hand.isFull) this.#giveUp();
    });
  }

  #key(event) {
    const cell = this.board.cellOf(event.target);
    if (!cell || event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key in ARROWS) this.#go(this.board.neighbour(cell, ARROWS[event.key]));
    else if (event.key in PAGES) this.#turn(cell, PAGES[event.key]);
    else if (event.key === "Enter" || event.key === " ") this.#take(event, cell);
    else return;
    event.preventDefault();
  }

  #go(cell) {
    if (!cell) return;
    const target = this.hand.isFull ? cell : (this.board.cardIn(cell) ?? cell);
    target.focus({ preventScroll: true });
    target.scrollIntoView({ block: "nearest", inline: "nearest" }); // clear of the tray
    this.hand.over(cell, { aloud: true });
  }

  #turn(cell, way) {
    const [day, slot, column] = keyOf(cell).split("-");
    const there = this.board.at(Number(day) + way, slot, column);
    if (!there) return;
    this.days.show(Number(day) + way);
    this.#go(there);
  }

  #take(event, cell) {
    if (this.hand.isFull) this.hand.drop(cell);
    else if (this.board.cardOf(event.target)) this.hand.pickUp(this.board.cardOf(event.target));
  }

  #giveUp() {
    const card = this.board.root.querySelector("[data-held]");
    this.hand.giveUp({ aloud: true });
    this.days.show(Number(card.closest("[data-day]").dataset.day));
    card.focus();
  }
}
