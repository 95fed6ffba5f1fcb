// The level frame of a still: origin at the centre of the ball, x along the ground toward the
// target, y up. Left-handers are mirrored first. The server measures again with its own core; what
// is here draws the lines and shows the numbers while a person is still marking.

const BALL = ["ball_edge_a", "ball_edge_b"];
const GROUND = ["ground_a", "ground_b"];

// Half a ground line gives no level yet.
export const hasLevel = (points) => GROUND.every((key) => points[key]);

export class LevelFrame {
  // `marks` are {key: [u, v]} of `inputs`, both edges of the ball among them. The scale of a fixed
  // camera, where there is one, replaces the diameter of the marked ball.
  constructor(inputs, marks, handedness) {
    this.sign = handedness === "left" ? -1 : 1;
    const [a, b] = BALL.map((key) => marks[key]);
    this.centre = [a[0].plus(b[0]).scaled(0.5), a[1].plus(b[1]).scaled(0.5)];
    this.diameter = inputs.scale ?? length(a, b);
    this.along = hasLevel(marks)
      ? level(...GROUND.map((key) => marks[key]))
      : [inputs.constant(1), inputs.constant(0)];
    this.at = Object.fromEntries(
      Object.entries(marks).map(([key, point]) => [key, this.#place(point)]),
    );
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

  #place([u, v]) {
    const [gu, gv] = this.along;
    const du = u.minus(this.centre[0]);
    const dv = v.minus(this.centre[1]);
    return [du.times(gu).plus(dv.times(gv)), du.times(gv).minus(dv.times(gu))];
  }
}

function level(a, b) {
  const du = b[0].minus(a[0]);
  const size = length(a, b).scaled(du.value < 0 ? -1 : 1);
  return [du.over(size), b[1].minus(a[1]).over(size)];
}

export function length(p, q) {
  const du = q[0].minus(p[0]);
  const dv = q[1].minus(p[1]);
  return du.times(du).plus(dv.times(dv)).root();
}
