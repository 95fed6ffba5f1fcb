// The stage by keyboard. Arrows move the selected mark; where there is none they move cross-hairs
// for the landmark that is meant next, and Enter places it there. A mark taken from another still
// is confirmed by Enter.

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

export class Keys {
  #pending = null;

  // `aim` and `redraw` as for Pointer; `zoom(factor)` and `zoomOut()` change the viewport.
  constructor(stage, marks, { aim, redraw, zoom, zoomOut }) {
    Object.assign(this, { stage, marks, aim, redraw });
    this.plain = {
      Enter: () => this.#confirm(),
      " ": () => this.#confirm(),
      Escape: () => this.#leave(),
      Backspace: () => this.#clear(),
      Delete: () => this.#clear(),
      PageDown: () => this.#choose(marks.neighbour(1)),
      PageUp: () => this.#choose(marks.neighbour(-1)),
      "+": () => zoom(2),
      "=": () => zoom(2),
      "-": () => zoom(0.5),
      Home: zoomOut,
      f: () => this.#turn(),
      F: () => this.#turn(),
    };
    stage.svg.addEventListener("keydown", (event) => this.#key(event));
    stage.svg.addEventListener("pointerdown", () => this.#drop());
    stage.svg.addEventListener("blur", () => this.#drop());
    document.addEventListener("keydown", (event) => this.#history(event));
  }

  #key(event) {
    const { key } = event;
    const isCommand = event.ctrlKey || event.metaKey || event.altKey;
    if (key in ARROWS) this.#arrow(ARROWS[key], event);
    else if (isCommand) return;
    else if (key in this.plain) this.plain[key]();
    else if (/^[0-9]$/.test(key)) this.#choose(this.#numbered((Number(key) + 9) % 10));
    else return;
    event.preventDefault();
  }

  #arrow(way, event) {
    if (this.marks.selected && !this.#pending) {
      this.marks.nudge(...way.map((part) => part * nudgeOf(event)));
      this.#showSelected();
    } else if (this.marks.next) {
      const from = this.#pending ?? this.#start();
      this.#point(from.map((part, i) => part + way[i] * stepOf(event)));
    }
  }

  #confirm() {
    const { marks } = this;
    if (!this.#pending && marks.unconfirmed.includes(marks.selected)) {
      marks.confirm(marks.selected);
      if (marks.selected) this.#showSelected();
      return;
    }
    if (this.#pending) marks.place(marks.next, this.#pending);
    else if (marks.points[marks.next]) marks.resume();
    const start = this.#pending ?? this.#start();
    this.#drop();
    if (marks.next) this.#point(start);
  }

  // Where the cross-hairs begin: at the last mark, else in the middle of what is seen.
  #start() {
    const [left, top, width, height] = this.stage.viewport.box;
    return this.marks.points[this.marks.selected] ?? [left + width / 2, top + height / 2];
  }

  #point(point) {
    this.#pending = point;
    this.#show(point, this.marks.next, true);
  }

  #showSelected() {
    const { points, selected } = this.marks;
    this.#show(points[selected], selected, false);
  }

  // The how-manieth landmark of the frame that is shown.
  #numbered(index) {
    const { frame, landmarks } = this.marks;
    return landmarks.filter((landmark) => landmark.frame === frame)[index]?.key;
  }

  #turn() {
    if (!this.marks.hasTwoFrames) return;
    this.#drop();
    this.marks.turnTo(this.marks.frame === "at" ? "before" : "at");
  }

  #show(point, key, isPending) {
    this.stage.viewport.show(point);
    this.redraw();
    this.aim({ point, key, isPending });
  }

  #choose(key) {
    if (!key) return;
    this.#drop();
    this.marks.choose(key);
    if (this.marks.selected) this.#showSelected();
  }

  #clear() {
    const { selected } = this.marks;
    if (!this.#pending && selected) this.marks.clear(selected);
    this.#drop();
  }

  #leave() {
    if (!this.#pending) this.marks.resume();
    this.#drop();
  }

  #drop() {
    this.#pending = null;
    this.aim(null);
  }

  // Fields have their own undo.
  #history(event) {
    const isTyping = event.target.closest?.("input, textarea");
    if (isTyping || event.altKey || !(event.ctrlKey || event.metaKey)) return;
    const key = event.key.toLowerCase();
    if (key === "y" || (key === "z" && event.shiftKey)) this.marks.redo();
    else if (key === "z") this.marks.undo();
    else return;
    event.preventDefault();
    this.#drop();
  }
}

// A mark that is placed only wants to be put right; cross-hairs have a way to go.
function nudgeOf(event) {
  if (event.altKey || event.ctrlKey) return 10;
  return event.shiftKey ? 1 : 0.25;
}

function stepOf(event) {
  if (event.altKey || event.ctrlKey) return 0.25;
  return event.shiftKey ? 10 : 1;
}
