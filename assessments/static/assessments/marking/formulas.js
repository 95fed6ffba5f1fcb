// The measures as formulas of a level frame, and the marks that each needs. Lengths are in ball
// diameters (bd), + toward the target; angles in degrees.

import { length } from "./geometry.js";

const DEGREES = 180 / Math.PI;
const BALL = ["ball_edge_a", "ball_edge_b"];
const FOREARM = ["lead_wrist", "lead_elbow"];
const SHAFT = ["grip_end", "shaft_low"];

export const FORMULAS = {
  forearm_line_offset_bd: {
    needs: FOREARM,
    of: (f) => f.forearmFoot.plus(f.diameter.scaled(0.5)).over(f.diameter),
  },
  forearm_lean_deg: { needs: FOREARM, of: forearmLean },
  shaft_lean_deg: { needs: SHAFT, of: shaftLean },
  forearm_shaft_angle_deg: {
    needs: [...FOREARM, ...SHAFT],
    of: (f) => shaftLean(f).minus(forearmLean(f)),
  },
  hands_ahead_bd: { needs: ["lead_wrist"], of: (f) => f.at.lead_wrist[0].over(f.diameter) },
  grip_line_clearance_bd: { needs: [...SHAFT, "lead_shoulder"], of: clearance },
  ball_position_bd: { needs: ["lead_heel"], of: (f) => f.at.lead_heel[0].over(f.diameter) },
  roll_deg: {
    needs: [],
    of: (f) => f.along[1].over(f.along[0]).arctangent().scaled(DEGREES),
  },
  ball_diameter_px: { needs: [], of: (f) => f.diameter },
};

// The marks one measure needs. On a driver's still the ground is not at the foot of the ball.
export function needs(name, { isTeed }) {
  const tee = isTeed && name === "forearm_line_offset_bd" ? ["ground_contact"] : [];
  return [...BALL, ...tee, ...FORMULAS[name].needs];
}

function lean(upper, lower) {
  return upper[0].minus(lower[0]).over(upper[1].minus(lower[1])).arctangent().scaled(DEGREES);
}

function forearmLean(frame) {
  return lean(frame.at.lead_elbow, frame.at.lead_wrist);
}

function shaftLean(frame) {
  return lean(frame.at.grip_end, frame.at.shaft_low);
}

// Twice a triangle's area over its base: the distance from the shoulder to the grip line.
function clearance(frame) {
  const { grip_end: grip, shaft_low: shaft, lead_shoulder: shoulder } = frame.at;
  const [ax, ay] = [grip[0].minus(shaft[0]), grip[1].minus(shaft[1])];
  const [bx, by] = [shoulder[0].minus(grip[0]), shoulder[1].minus(grip[1])];
  return ax.times(by).minus(ay.times(bx)).over(length(shaft, grip).times(frame.diameter));
}
