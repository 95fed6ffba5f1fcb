// States that can be gone back through. Steps with the same tag in a row are one step: a drag, or
// a run of small moves by the arrow keys.

export class History {
  #past = [];
  #future = [];
  #tag = null;

  constructor(first) {
    this.now = first;
  }

  get canUndo() {
    return this.#past.length > 0;
  }

  get canRedo() {
    return this.#future.length > 0;
  }

  push(state, tag = null) {
    if (tag === null || tag !== this.#tag) this.#past.push(this.now);
    this.now = state;
    this.#tag = tag;
    this.#future = [];
  }

  // Changes what no one would want to go back through, such as a selection.
  amend(state) {
    this.now = state;
    this.#tag = null;
  }

  // As if the steps with this tag had never been: for a gesture that turns out to be another.
  abandon(tag) {
    if (this.#tag === tag) this.#step(this.#past, []);
  }

  undo() {
    this.#step(this.#past, this.#future);
  }

  redo() {
    this.#step(this.#future, this.#past);
  }

  #step(from, to) {
    if (!from.length) return;
    to.push(this.now);
    this.now = from.pop();
    this.#tag = null;
  }
}
