// The construction as lines on the still, laid out in the level frame of the ball so that a
// left-hander's is the mirror image. Each line comes as soon as its second mark is there.

const SCALE_FROM_BD = -4;
const SCALE_TO_BD = 8;
const FARTHEST_BD = 40;
const LEAST_TICK_PX = 8; // on screen, below which the scale has no room for its name

// `px` is the length of one screen pixel on the still, `box` the visible part. Gives lines
// {kind, d} and labels {kind, text, at, anchor}, all in pixels of the still.
export function construction({ frame, measures }, px, box) {
  if (!("value" in measures.ball_diameter_px)) return { lines: [], labels: [] };
  const drawn = new Drawing(frame, px, box);
  drawn.ring();
  drawn.scale(footBd(measures));
  if ("value" in measures.shaft_lean_deg) drawn.grip();
  if ("value" in measures.forearm_lean_deg) drawn.forearm();
  return drawn;
}

function footBd({ forearm_line_offset_bd: { value = 0 } }) {
  return Math.min(FARTHEST_BD, Math.max(-FARTHEST_BD, value));
}

class Drawing {
  lines = [];
  labels = [];

  constructor(frame, px, [, top, , height]) {
    this.frame = frame;
    this.px = px;
    this.bottom = top + height;
    this.ball = frame.diameter.value;
    this.ground = frame.ground.value;
  }

  // The ball as its two edges say it is.
  ring() {
    const [[u, v], r] = [this.frame.onPicture(0, 0), this.ball / 2];
    const d = `M${u - r} ${v}a${r} ${r} 0 1 0 ${2 * r} 0a${r} ${r} 0 1 0 ${-2 * r} 0`;
    this.lines.push({ kind: "ring", d });
  }

  // One tick a ball diameter, a long one at the back of the ball.
  scale(foot) {
    const first = Math.min(SCALE_FROM_BD, Math.floor(foot) - 1);
    const last = Math.max(SCALE_TO_BD, Math.ceil(foot) + 1);
    const xOf = (n) => (n - 0.5) * this.ball;
    let d = this.#line([xOf(first), this.ground], [xOf(last), this.ground]);
    for (let n = first; n <= last; n += 1) {
      const drop = (n === 0 ? 10 : 6) * this.px;
      d += this.#line([xOf(n), this.ground], [xOf(n), this.ground - drop]);
    }
    this.lines.push({ kind: "scale", d });
    if (this.ball < LEAST_TICK_PX * this.px) return;
    this.#label("scale", "ball diameters", [xOf(last) + 6 * this.px, this.ground], true);
  }

  forearm() {
    const foot = [this.frame.forearmFoot.value, this.ground];
    this.lines.push({ kind: "forearm", d: this.#line(this.frame.plain("lead_elbow"), foot) });
    const below = [foot[0], this.ground - 26 * this.px];
    const hasRoom = this.frame.onPicture(...below)[1] + 10 * this.px < this.bottom;
    const beside = [foot[0] + 8 * this.px, this.ground + 14 * this.px];
    this.#label("forearm", "lead forearm", hasRoom ? below : beside, !hasRoom);
  }

  grip() {
    const [[gx, gy], [sx, sy]] = [this.frame.plain("grip_end"), this.frame.plain("shaft_low")];
    const y = this.#gripTop(gy);
    const top = [sx + ((y - sy) * (gx - sx)) / (gy - sy), y];
    this.lines.push({ kind: "grip", d: this.#line([sx, sy], top) });
    this.#label("grip", "grip line", [top[0] + 8 * this.px, y], true);
  }

  // Well past the shoulder, or past where one would be.
  #gripTop(gripHeight) {
    const { lead_shoulder: shoulder, lead_elbow: elbow, lead_wrist: wrist } = this.frame.at;
    let height = 1.75 * gripHeight;
    if (elbow && wrist) height = 2.2 * elbow[1].value - 1.2 * wrist[1].value;
    if (shoulder) height = shoulder[1].value;
    return Math.max(height, gripHeight) + 3 * this.ball;
  }

  #line(p, q) {
    return `M${this.frame.onPicture(...p).join(" ")}L${this.frame.onPicture(...q).join(" ")}`;
  }

  // Beside a point on the target side, where the body is not, or centred on it.
  #label(kind, text, [x, y], isBeside) {
    const beside = this.frame.sign > 0 ? "start" : "end";
    const anchor = isBeside ? beside : "middle";
    this.labels.push({ kind, text, at: this.frame.onPicture(x, y), anchor });
  }
}
