// The level frame of a still: origin at the centre of the ball, x along the ground toward the
// target, y up. Left-handers are mirrored first. The server measures again with its own core; what
// is here draws the lines and shows the numbers while a person is still marking.

import { Dual } from "./dual.js";

export const BALL_MM = 42.67;

const BALL = ["ball_edge_a", "ball_edge_b"];
const GROUND = ["ground_a", "ground_b"];

// Half a ground line gives no level yet.
export const hasLevel = (points) => GROUND.every((key) => points[key]);

export class LevelFrame {
  // Null until both edges of the ball are marked, apart from each other.
  static of({ points, handedness }) {
    if (!BALL.every((key) => points[key])) return null;
    const [a, b] = BALL.map((key) => points[key]);
    return a[0] === b[0] && a[1] === b[1] ? null : new LevelFrame(points, handedness);
  }

  constructor(points, handedness) {
    this.sign = handedness === "left" ? -1 : 1;
    this.keys = Object.keys(points);
    const count = 2 * this.keys.length;
    this.mirrored = Object.fromEntries(
      this.keys.map((key, i) => {
        const [u, v] = points[key];
        return [key, [Dual.input(this.sign * u, 2 * i, count), Dual.input(v, 2 * i + 1, count)]];
      }),
    );
    const [a, b] = BALL.map((key) => this.mirrored[key]);
    this.centre = [a[0].plus(b[0]).scaled(0.5), a[1].plus(b[1]).scaled(0.5)];
    this.diameter = length(a, b);
    this.along = this.#level(hasLevel(points), count);
    this.at = Object.fromEntries(this.keys.map((key) => [key, this.#place(this.mirrored[key])]));
  }

  // y of the ground: the marked foot of the tee, else the foot of the ball.
  get ground() {
    return this.at.ground_contact ? this.at.ground_contact[1] : this.diameter.scaled(-0.5);
  }

  // x where the lead-forearm line, carried down, meets the ground.
  get forearmFoot() {
    const { lead_wrist: wrist, lead_elbow: elbow } = this.at;
    const slope = elbow[0].minus(wrist[0]).over(elbow[1].minus(wrist[1]));
    return wrist[0].minus(wrist[1].minus(this.ground).times(slope));
  }

  // The point of the picture, mirrored back, at plain numbers (x, y) of this frame.
  onPicture(x, y) {
    const [cu, cv] = this.centre.map((part) => part.value);
    const [gu, gv] = this.along.map((part) => part.value);
    return [this.sign * (cu + x * gu + y * gv), cv + x * gv - y * gu];
  }

  plain(key) {
    return this.at[key].map((part) => part.value);
  }

  #level(isMarked, count) {
    if (!isMarked) return [Dual.constant(1, count), Dual.constant(0, count)];
    const [a, b] = GROUND.map((key) => this.mirrored[key]);
    const du = b[0].minus(a[0]);
    const size = length(a, b).scaled(du.value < 0 ? -1 : 1);
    return [du.over(size), b[1].minus(a[1]).over(size)];
  }

  #place([u, v]) {
    const [gu, gv] = this.along;
    const du = u.minus(this.centre[0]);
    const dv = v.minus(this.centre[1]);
    return [du.times(gu).plus(dv.times(gv)), du.times(gv).minus(dv.times(gu))];
  }
}

export function length(p, q) {
  const du = q[0].minus(p[0]);
  const dv = q[1].minus(p[1]);
  return du.times(du).plus(dv.times(dv)).root();
}
