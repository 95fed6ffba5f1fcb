// The measures of a still with their first-order standard uncertainty, each as soon as the marks it
// needs are there: of one frame, or at the strike between two.

import { misfits } from "./checks.js";
import { FORMULAS, needs } from "./formulas.js";
import { inBefore } from "./frames.js";
import { LevelFrame, hasLevel } from "./geometry.js";
import { Inputs, hasBall, lent, markedBall } from "./inputs.js";

const BALL = ["ball_edge_a", "ball_edge_b"];
const HEAD = "club_head";
const ROUNDING = 0.1; // of the way between the frames: how far outside the strike may seem by error

// `still` has points {key: [u, v]}, handedness, isTeed, width, height, clickSdPx, placementSdMm
// {key: mm}, and scalePx with scaleSdPx if the camera is fixed. Gives {frame, isLevelMarked,
// measures: {name: {value, u} | {missing} | {check}}}.
export function measure(still) {
  const { points } = still;
  const inputs = new Inputs(still);
  const frame = hasBall(points) ? new LevelFrame(inputs, inputs.at, still.handedness) : null;
  const suspects = frame ? misfits(still, frame) : [];
  const one = (name) => {
    const wanted = needs(name, still);
    const missing = wanted.filter((key) => !points[key]);
    if (missing.length) return { missing };
    const check = frame ? suspects.find((keys) => spoils(keys, wanted)) : BALL;
    return check ? { check } : worth(FORMULAS[name].of(frame), inputs);
  };
  return { frame, isLevelMarked: hasLevel(points), measures: each(one) };
}

// The same at the strike between two frames, on the straight line from the value in one to that in
// the other; `before` are the points of the first, which lends the second its ball and its ground.
// Keys that are missing or do not fit are those of the page. `strike` is {weight} from 0 at the
// first frame to 1 at the second, or {missing}, or {check, isAlike} where it lies outside.
export function measureBetween(still, before) {
  const at = { ...still, points: { ...lent(before, still.points), ...still.points } };
  const frames = [
    { name: inBefore, still: { ...still, points: before } },
    { name: (key) => key, still: at },
  ];
  const inputs = new Inputs(still, before);
  frames.forEach((one, i) => {
    const marks = [inputs.before, inputs.at][i];
    one.frame = hasBall(one.still.points) ? new LevelFrame(inputs, marks, still.handedness) : null;
    one.suspects = one.frame ? misfits(one.still, one.frame) : [];
  });
  const strike = strikeOf(frames, still);
  const one = (name) => {
    const found = blocked(frames, needs(name, still)) ?? (strike.check && { check: strike.check });
    if (found) return found;
    const [first, second] = frames.map(({ frame }) => FORMULAS[name].of(frame));
    return worth(first.plus(strike.weight.times(second.minus(first))), inputs);
  };
  const isLevelMarked = frames.every(({ still: { points } }) => hasLevel(points));
  return { isLevelMarked, measures: each(one), strike };
}

// Where the strike lies: there the front of the head is at the trail edge of the ball.
function strikeOf(frames, still) {
  const found = blocked(frames, BALL);
  if (found) return found;
  const [one, other] = frames.map(({ frame }) => frame.at[HEAD][0].over(frame.diameter));
  const moved = other.minus(one);
  const sign = still.handedness === "left" ? -1 : 1;
  const [from, to] = frames.map(({ still: { points } }) => sign * points[HEAD][0]);
  const check = [inBefore(HEAD), HEAD];
  const ball = still.scalePx || markedBall(frames[0].still.points);
  if (to - from < ball) return { check, isAlike: true };
  const weight = one.scaled(-1).shifted(-0.5).over(moved);
  const isOutside = weight.value < -ROUNDING || weight.value > 1 + ROUNDING;
  return isOutside ? { check, isAlike: false } : { weight };
}

// Of both frames, what keeps measures that need these marks from being worked out.
function blocked(frames, wanted) {
  const missing = frames.flatMap(({ name, still: { points } }) =>
    [...wanted, HEAD].filter((key) => !points[key]).map(name),
  );
  if (missing.length) return { missing };
  for (const { name, frame, suspects } of frames) {
    const check = frame ? suspects.find((keys) => spoils(keys, wanted)) : BALL;
    if (check) return { check: check.map(name) };
  }
  return null;
}

const each = (one) => Object.fromEntries(Object.keys(FORMULAS).map((name) => [name, one(name)]));

const worth = (result, { deviations }) => ({
  value: result.value,
  u: result.standardUncertainty(deviations),
});

function spoils(keys, wanted) {
  const isFrame = /^(ball|ground)_/.test(keys[0]);
  return isFrame || keys.some((key) => wanted.includes(key));
}
