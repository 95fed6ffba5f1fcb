// The marks on one still, and which one is meant next. `next` is the landmark that a click places;
// `selected` is the placed one that arrows move: after a click that is the one just placed. Both
// are of the frame that is shown. Marks taken from another still are `unconfirmed` until they are
// moved or confirmed where they are.

import { frameOf, inBefore, marksIn, plain } from "./frames.js";
import { History } from "./history.js";
import { STILL_THERE, lent } from "./inputs.js";

const FRAMES = { before: "before", at: "at the strike" };
const PAIR = ["ground_a", "ground_b"];

export class Marks extends EventTarget {
  #history;

  // `landmarks` are {key, label, where, required, frame}, in the order of marking.
  constructor(landmarks, { points, unconfirmed = [] }) {
    super();
    this.landmarks = landmarks;
    this.byKey = Object.fromEntries(landmarks.map((landmark) => [landmark.key, landmark]));
    this.hasTwoFrames = landmarks.some(({ frame }) => frame === "before");
    const known = this.#known(points);
    const open = unconfirmed.filter((key) => known[key]);
    const first = { points: known, skipped: [], unconfirmed: open, frame: this.#firstFrame };
    this.#history = new History(this.#state(first));
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

  get unconfirmed() {
    return this.#history.now.unconfirmed;
  }

  get frame() {
    return this.#history.now.frame;
  }

  get canUndo() {
    return this.#history.canUndo;
  }

  get canRedo() {
    return this.#history.canRedo;
  }

  // The marks made on the frame that is shown.
  get shown() {
    const own = Object.entries(this.points).filter(([key]) => frameOf(key) === this.frame);
    return Object.fromEntries(own);
  }

  // The marks of the frame before that also serve the frame that is shown.
  get lent() {
    if (this.frame !== "at") return {};
    const all = Object.entries(lent(this.in("before"), this.in("at")));
    return Object.fromEntries(all.filter(([key]) => !this.points[key]));
  }

  in(frame) {
    return marksIn(this.points, frame);
  }

  // Needed landmarks still to place. Half a ground line is an oversight, so it asks for the rest.
  get missing() {
    const { points } = this;
    return this.landmarks.filter(({ key, required, frame }) => {
      const isHalf =
        PAIR.includes(plain(key)) &&
        this.landmarks.some(
          (other) =>
            other.frame === frame && PAIR.includes(plain(other.key)) && this.#has(points, other.key),
        );
      return !this.#has(points, key) && (required || isHalf);
    });
  }

  // The label, with the frame where there are two.
  nameOf(key) {
    const label = this.byKey[key]?.label ?? plain(key);
    return this.hasTwoFrames ? `${label} (${FRAMES[frameOf(key)]})` : label;
  }

  place(key, point, tag = null) {
    const { skipped, ...now } = this.#with(key, point);
    const state = { ...now, skipped: without(skipped, key), next: null, selected: key };
    this.#push(this.#state(state), tag);
  }

  // Moves a placed landmark and leaves what comes next alone.
  move(key, point, tag = null) {
    this.#push({ ...this.#with(key, point), selected: key }, tag);
  }

  nudge(du, dv) {
    const [u, v] = this.points[this.selected];
    this.move(this.selected, [u + du, v + dv], `nudge ${this.selected}`);
  }

  clear(key) {
    const { points, unconfirmed, ...now } = this.#history.now;
    const { [key]: _, ...rest } = points;
    const left = without(unconfirmed, key);
    this.#push(this.#state({ ...now, points: rest, unconfirmed: left, next: key, selected: null }));
  }

  skip() {
    const { skipped, ...now } = this.#history.now;
    const state = { ...now, skipped: [...skipped, this.next], next: null, selected: null };
    this.#push(this.#state(state));
  }

  // Takes marks of another still for those that are not placed yet, to be confirmed one by one.
  startFrom(points) {
    const { now } = this.#history;
    const taken = this.#known(points);
    const fresh = this.landmarks
      .map(({ key }) => key)
      .filter((key) => taken[key] && !this.#has(now.points, key));
    const more = Object.fromEntries(fresh.map((key) => [key, taken[key].map(toHundredths)]));
    this.#push(this.#toConfirm({ ...now, points: { ...now.points, ...more } }, fresh));
  }

  // The mark is right where it is; the next one of those left is selected.
  confirm(key) {
    const { now } = this.#history;
    this.#push(this.#toConfirm(now, without(now.unconfirmed, key)));
  }

  // Means this landmark next, to place it or to place it again.
  choose(key) {
    const selected = this.points[key] ? key : null;
    this.#amend({ next: key, selected, frame: frameOf(key) });
  }

  select(key) {
    this.#amend({ selected: key });
  }

  // Back to the first landmark that is neither placed nor skipped.
  resume() {
    this.#history.amend(this.#state({ ...this.#history.now, next: null, selected: null }));
    this.#changed();
  }

  // Shows the other frame, and means what is still to be marked there.
  turnTo(frame) {
    const next = this.#open(this.#history.now).find((key) => frameOf(key) === frame) ?? null;
    this.#amend({ frame, next, selected: null });
  }

  replaceAll(points) {
    const { now } = this.#history;
    const fresh = { points, skipped: [], unconfirmed: [], next: null, selected: null };
    this.#push(this.#state({ ...now, ...fresh, frame: this.#firstFrame }));
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

  get #firstFrame() {
    return this.landmarks[0].frame;
  }

  #known(points) {
    return Object.fromEntries(Object.entries(points).filter(([key]) => key in this.byKey));
  }

  #with(key, point) {
    const { now } = this.#history;
    return {
      ...now,
      points: { ...now.points, [key]: point.map(toHundredths) },
      unconfirmed: without(now.unconfirmed, key),
    };
  }

  // The state with what is meant next worked out, and the frame in which that is.
  #state({ next, ...state }) {
    const meant = next && !state.points[next] ? next : (this.#open(state)[0] ?? null);
    const frame = meant ? frameOf(meant) : state.frame;
    const { selected = null } = state;
    return { ...state, next: meant, frame, selected: isIn(selected, frame) ? selected : null };
  }

  // Nothing is meant next while marks of another still wait to be confirmed.
  #toConfirm(state, unconfirmed) {
    if (!unconfirmed.length) return this.#state({ ...state, unconfirmed, next: null });
    const [selected] = unconfirmed;
    return { ...state, unconfirmed, next: null, selected, frame: frameOf(selected) };
  }

  #open({ points, skipped }) {
    const keys = this.landmarks.map(({ key }) => key);
    return keys.filter((key) => !this.#has(points, key) && !skipped.includes(key));
  }

  // Placed, or lent by the frame before.
  #has(points, key) {
    const isLent = STILL_THERE.includes(key) && Boolean(points[inBefore(key)]);
    return Boolean(points[key]) || isLent;
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

const isIn = (key, frame) => key !== null && frameOf(key) === frame;
const without = (keys, key) => keys.filter((other) => other !== key);
const toHundredths = (value) => Math.round(value * 100) / 100;
