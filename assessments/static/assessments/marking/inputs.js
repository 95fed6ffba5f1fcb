// The independent inputs of one measurement: the marks of one frame or of two, and the scale of a
// fixed camera if there is one. Each has its standard deviation; the marks become numbers that
// carry their derivatives, mirrored for left-handers.

import { Dual } from "./dual.js";

export const BALL_MM = 42.67;

const BALL = ["ball_edge_a", "ball_edge_b"];
const HEAD_SD_MM = 10; // how far the front of a moving head is seen off its place, assumed

// What does not move between two frames of one clip: marked once, it serves both.
export const STILL_THERE = [
  ...BALL,
  "ground_contact",
  "ground_a",
  "ground_b",
  "ground_c",
  "ground_d",
];

// The marks of the first frame that the second has none of its own of. The very same point in both
// is one mark, lent, and not two that agree.
export function lent(before, at) {
  const isSame = (key) => !at[key] || at[key].every((part, i) => part === before[key][i]);
  const keys = STILL_THERE.filter((key) => before[key] && isSame(key));
  return Object.fromEntries(keys.map((key) => [key, before[key]]));
}

// Diameter of the ball as its edges are marked.
export function markedBall(points) {
  const [[au, av], [bu, bv]] = BALL.map((key) => points[key]);
  return Math.hypot(bu - au, bv - av);
}

export const hasBall = (points) =>
  BALL.every((key) => points[key]) && markedBall(points) > 0;

export class Inputs {
  deviations = [];
  #values = [];

  // `still` as for `measure`; `before` are the points of the frame before the strike, or null.
  constructor(still, before = null) {
    const borrowed = before ? lent(before, still.points) : {};
    const first = before && this.#frame(still, before, before, HEAD_SD_MM);
    const all = { ...borrowed, ...still.points };
    const others = Object.entries(still.points).filter(([key]) => !borrowed[key]);
    const own = this.#frame(still, Object.fromEntries(others), all, before ? HEAD_SD_MM : 0);
    const scale = still.scalePx && this.#take(still.scalePx, still.scaleSdPx ?? 0);
    this.scale = still.scalePx ? this.#dual(scale) : null;
    const marks = (places) =>
      Object.fromEntries(
        Object.entries(places).map(([key, pair]) => [key, pair.map((i) => this.#dual(i))]),
      );
    const taken = Object.fromEntries(Object.keys(borrowed).map((key) => [key, first[key]]));
    this.before = before && marks(first);
    this.at = marks({ ...taken, ...own });
  }

  constant(value) {
    return Dual.constant(value, this.#values.length);
  }

  // Takes in the marks `points` of a frame whose marks are `all`; gives the places of each.
  #frame({ handedness, clickSdPx, placementSdMm = {}, scalePx }, points, all, headSdMm) {
    const pxPerMm = (scalePx || (hasBall(all) ? markedBall(all) : 0)) / BALL_MM;
    const sign = handedness === "left" ? -1 : 1;
    const own = headSdMm ? { ...placementSdMm, club_head: headSdMm } : placementSdMm;
    return Object.fromEntries(
      Object.entries(points).map(([key, [u, v]]) => {
        const deviation = Math.hypot(clickSdPx, (own[key] ?? 0) * pxPerMm);
        return [key, [this.#take(sign * u, deviation), this.#take(v, deviation)]];
      }),
    );
  }

  #take(value, deviation) {
    this.deviations.push(deviation);
    return this.#values.push(value) - 1;
  }

  #dual(index) {
    return Dual.input(this.#values[index], index, this.#values.length);
  }
}
