// Which marks cannot be right. The server refuses such a still and says why; here they only keep a
// meaningless number off the screen and say which marks to look at.

import { hasLevel } from "./geometry.js";
import { markedBall } from "./inputs.js";

const BALL = ["ball_edge_a", "ball_edge_b"];
const GROUND = ["ground_a", "ground_b"];
const FOREARM = ["lead_elbow", "lead_wrist"];
const SHAFT = ["grip_end", "shaft_low"];

const LEAST_BALL_PX = 8;
const MOST_ROLL = Math.tan(Math.PI / 12); // 15 degrees
const MOST_LEAN = Math.tan(Math.PI / 3); // 60 degrees

// Lists of keys that do not fit each other. Ball or ground among them spoils every measure.
export function misfits({ points, width, height, clickSdPx }, frame) {
  const ball = markedBall(points);
  if (ball < LEAST_BALL_PX || ball > Math.min(width, height) / 4) return [BALL];
  if (hasLevel(points) && isBadGround(points, ball)) return [GROUND];
  return [
    [FOREARM, Math.max(2 * ball, 10 * clickSdPx)],
    [SHAFT, Math.max(6 * ball, 20 * clickSdPx)],
  ]
    .filter(([keys]) => keys.every((key) => points[key]))
    .filter(([keys, least]) => isBadLine(points, frame, keys, least, ball))
    .map(([keys]) => keys);
}

const distance = ([au, av], [bu, bv]) => Math.hypot(bu - au, bv - av);

function isBadGround({ ground_a: a, ground_b: b }, ball) {
  return distance(a, b) < 5 * ball || Math.abs(b[1] - a[1]) > MOST_ROLL * Math.abs(b[0] - a[0]);
}

function isBadLine(points, frame, [upper, lower], least, ball) {
  const [[ux, uy], [lx, ly]] = [frame.plain(upper), frame.plain(lower)];
  const isShort = distance(points[upper], points[lower]) < least;
  const isFlat = Math.abs(ux - lx) > MOST_LEAN * (uy - ly);
  const isSunk = lower === "lead_wrist" && ly <= -ball / 2;
  return isShort || uy <= ly || isFlat || isSunk;
}

// Each with the trail side first.
const ORDER = [
  ["trail_shoulder", "lead_shoulder"],
  ["ball_edge_a", "ball_edge_b"],
  ["ground_a", "ground_b"],
  ["ground_d", "ground_c"],
];

// Pairs of which the one on the trail side is marked nearer the target, which the golfer's
// handedness says is on the right of the picture, or for left-handers on the left.
export function swapped(points, handedness) {
  const sign = handedness === "left" ? -1 : 1;
  return ORDER.filter(
    ([trail, lead]) =>
      points[trail] && points[lead] && sign * (points[trail][0] - points[lead][0]) > 0,
  );
}
