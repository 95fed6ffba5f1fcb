// The marks on one still, and which one is meant next. `next` is the landmark that a click places;
// `selected` is the placed one that arrows move: after a click that is the one just placed.

import { History } from "./history.js";

const PAIR = ["ground_a", "ground_b"];

export class Marks extends EventTarget {
  #history;

  // `landmarks` are {key, label, where, required}, needed ones first, in the order of marking.
  constructor(landmarks, points) {
    super();
    this.landmarks = landmarks;
    this.byKey = Object.fromEntries(landmarks.map((landmark) => [landmark.key, landmark]));
    const known = Object.entries(points).filter(([key]) => key in this.byKey);
    this.#history = new History(this.#state(Object.fromEntries(known), []));
  }

  get points() {
    return this.#history.now.points;
  }

  get next() {
    return this.#history.now.next;
  }

  get selected() {
    return this.#history.now.selected;
  }

  get canUndo() {
    return this.#history.canUndo;
  }

  get canRedo() {
    return this.#history.canRedo;
  }

  // Needed landmarks still to place. Half a ground line is an oversight, so it asks for the rest.
  get missing() {
    const isHalf = PAIR.some((key) => this.points[key]);
    return this.landmarks.filter(
      ({ key, required }) => !this.points[key] && (required || (isHalf && PAIR.includes(key))),
    );
  }

  place(key, point, tag = null) {
    const points = { ...this.points, [key]: point.map(toHundredths) };
    const skipped = this.#history.now.skipped.filter((other) => other !== key);
    this.#push(this.#state(points, skipped, { selected: key }), tag);
  }

  // Moves a placed landmark and leaves what comes next alone.
  move(key, point, tag = null) {
    const points = { ...this.points, [key]: point.map(toHundredths) };
    this.#push({ ...this.#history.now, points, selected: key }, tag);
  }

  nudge(du, dv) {
    const [u, v] = this.points[this.selected];
    this.move(this.selected, [u + du, v + dv], `nudge ${this.selected}`);
  }

  clear(key) {
    const { [key]: _, ...points } = this.points;
    this.#push(this.#state(points, this.#history.now.skipped, { next: key }));
  }

  skip() {
    this.#push(this.#state(this.points, [...this.#history.now.skipped, this.next]));
  }

  // Means this landmark next, to place it or to place it again.
  choose(key) {
    this.#amend({ next: key, selected: this.points[key] ? key : null });
  }

  select(key) {
    this.#amend({ selected: key });
  }

  // Back to the first landmark that is neither placed nor skipped.
  resume() {
    const { points, skipped } = this.#history.now;
    this.#amend({ next: this.#firstOpen(points, skipped), selected: null });
  }

  replaceAll(points) {
    this.#push(this.#state(points, []));
  }

  abandon(tag) {
    this.#history.abandon(tag);
    this.#changed();
  }

  undo() {
    this.#history.undo();
    this.#changed();
  }

  redo() {
    this.#history.redo();
    this.#changed();
  }

  // The landmark after (1) or before (-1) the one meant now, round the end.
  neighbour(direction) {
    const keys = this.landmarks.map(({ key }) => key);
    const from = keys.indexOf(this.selected ?? this.next);
    return keys[(from + direction + keys.length) % keys.length];
  }

  #state(points, skipped, { next = this.#firstOpen(points, skipped), selected = null } = {}) {
    return { points, skipped, next, selected };
  }

  #firstOpen(points, skipped) {
    const open = this.landmarks.find(({ key }) => !points[key] && !skipped.includes(key));
    return open?.key ?? null;
  }

  #push(state, tag = null) {
    this.#history.push(state, tag);
    this.#changed();
  }

  #amend(part) {
    this.#history.amend({ ...this.#history.now, ...part });
    this.#changed();
  }

  #changed() {
    this.dispatchEvent(new Event("change"));
  }
}

const toHundredths = (value) => Math.round(value * 100) / 100;
