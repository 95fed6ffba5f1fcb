// The grid by mouse, pen and touch. A session is dragged, or taken by one click and put down by
// another. A finger must rest on it for a moment first, so that the page can still be scrolled.

const SLOP = { mouse: 5, touch: 10 };
const REST_MS = 300;
const EDGE = 32;
const SCROLL = 6;

export class Pointer {
  #press = null;
  #ghost = null;
  #last = null;
  #isClickSpent = false;
  over = null;

  constructor(board, days, hand) {
    Object.assign(this, { board, days, hand });
    const { root } = board;
    root.addEventListener("pointerdown", (event) => this.#down(event));
    document.addEventListener("pointermove", (event) => this.#move(event));
    document.addEventListener("pointerup", (event) => this.#up(event));
    document.addEventListener("pointercancel", () => this.#cancel());
    root.addEventListener("click", (event) => this.#click(event));
    root.addEventListener("contextmenu", (event) => {
      if (this.#press?.isTouch) event.preventDefault(); // a long press is ours
    });
    root.addEventListener("touchmove", (event) => this.#ghost && event.preventDefault(), {
      passive: false,
    });
  }

  #down(event) {
    this.#isClickSpent = false;
    const card = this.board.cardOf(event.target);
    if (!card || event.button !== 0 || !event.isPrimary) return;
    const isTouch = event.pointerType === "touch";
    this.#press = { card, isTouch, x: event.clientX, y: event.clientY };
    if (isTouch) this.#press.timer = setTimeout(() => this.#lift(event), REST_MS);
  }

  #move(event) {
    if (this.#ghost) this.#drag(event);
    else if (this.#press) this.#leave(event);
    else if (this.hand.isFull) this.#hover(event);
  }

  #leave(event) {
    const { isTouch, x, y } = this.#press;
    const way = Math.hypot(event.clientX - x, event.clientY - y);
    if (way < (isTouch ? SLOP.touch : SLOP.mouse)) return;
    if (isTouch) this.#release(); // the finger scrolls
    else this.#lift(event);
  }

  #lift(event) {
    const { card } = this.#press;
    this.#ghost = document.createElement("div");
    this.#ghost.className = "card-link card-ghost";
    this.#ghost.setAttribute("aria-hidden", "true");
    this.#ghost.style.width = `${card.offsetWidth}px`;
    this.#ghost.append(...card.cloneNode(true).childNodes);
    document.body.append(this.#ghost);
    this.over = null;
    this.hand.pickUp(card);
    this.hand.tray.isDragging = true;
    this.#drag(event);
    this.#scroll();
  }

  #drag(event) {
    this.#ghost.style.translate = `${event.clientX + 12}px ${event.clientY + 12}px`;
    const day = this.days.under(event);
    if (day >= 0) this.days.show(day);
    this.#last = event;
    this.#hover(event);
  }

  #hover(event) {
    const cell = this.board.cellUnder(event);
    if (cell !== this.over) this.hand.over(cell);
    this.over = cell;
  }

  // Again with every frame of a drag: near an edge the page goes on under the pointer.
  #scroll() {
    if (!this.#ghost) return;
    const { clientX, clientY } = this.#last;
    const wrap = this.board.root.querySelector("[data-day]:not([hidden]) .table-wrap");
    const { left, right } = wrap.getBoundingClientRect();
    if (clientY < EDGE) window.scrollBy(0, -SCROLL);
    if (clientY > this.hand.tray.top - EDGE) window.scrollBy(0, SCROLL);
    if (clientX < left + EDGE) wrap.scrollBy(-SCROLL, 0);
    if (clientX > right - EDGE) wrap.scrollBy(SCROLL, 0);
    this.#hover(this.#last);
    requestAnimationFrame(() => this.#scroll());
  }

  #up(event) {
    if (!this.#ghost) {
      this.#release();
      return;
    }
    const cell = this.board.cellUnder(event);
    this.#release();
    this.#isClickSpent = true;
    if (cell) this.hand.drop(cell);
    else this.hand.giveUp();
  }

  #cancel() {
    if (this.#ghost) this.hand.giveUp();
    this.#release();
  }

  #release() {
    clearTimeout(this.#press?.timer);
    this.#press = null;
    this.#ghost?.remove();
    this.#ghost = null;
    this.hand.tray.isDragging = false;
  }

  // Also what a screen reader sends for Enter. With a key held it opens the link, as links do.
  #click(event) {
    const cell = this.board.cellOf(event.target);
    const card = this.board.cardOf(event.target);
    if (!cell || event.ctrlKey || event.metaKey || event.shiftKey) return;
    if (card) event.preventDefault();
    if (this.#isClickSpent) this.#isClickSpent = false;
    else if (this.hand.holds(card)) this.hand.giveUp();
    else if (this.hand.isFull) this.hand.drop(cell);
    else if (card) this.hand.pickUp(card);
  }
}
