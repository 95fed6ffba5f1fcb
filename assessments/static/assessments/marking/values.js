// The measures while marking, each with its ±, or with the marks it still waits for.

import { BALL_MM } from "./inputs.js";
import { listed, plusMinus, signed } from "./words.js";

const OFFSET = "forearm_line_offset_bd";
const CORNERS = ["ground_a", "ground_b", "ground_c", "ground_d"];
const SPOKEN_EVERY_MS = 1500;

export class Values {
  #timer = null;
  #spoken = "";

  // `ballSdPx` is how far the diameter of the ball may be off.
  constructor(root, marks, { stepMm, ballSdPx }) {
    Object.assign(this, { root, marks, stepMm, ballSdPx });
    this.speech = root.querySelector("[data-speech]");
    this.note = root.querySelector("[data-offset-note]");
    this.rows = [...root.querySelectorAll("[data-measure]")];
  }

  draw({ measures, isLevelMarked, strike }) {
    for (const row of this.rows) {
      const result = measures[row.dataset.measure];
      const isAssumed = row.dataset.measure === "roll_deg" && !isLevelMarked && "value" in result;
      this.#row(row, isAssumed ? { note: "not marked: the picture is taken as level" } : result);
    }
    this.#offsetNote(measures[OFFSET]);
    this.root.querySelector("[data-small-ball]").hidden = !this.#isSmall(measures.ball_diameter_px);
    if (strike) this.root.querySelector("[data-strike]").textContent = this.#strikeInWords(strike);
    this.root.querySelector("[data-camera-note]").hidden = !this.#isSquaredLater();
    this.#speak(measures[OFFSET]);
  }

  #strikeInWords({ weight, check, isAlike }) {
    if (weight) {
      const share = Math.round(100 * weight.value);
      return `The strike is ${share} % of the way from the first frame to the second.`;
    }
    if (!check) return "";
    return isAlike
      ? "The club head moves less than a ball from the first frame to the second."
      : "The marks on the club head put the strike before the first frame or after the second.";
  }

  // The camera is found from four corners, which the server does.
  #isSquaredLater() {
    const at = { ...this.marks.in("before"), ...this.marks.in("at") };
    return CORNERS.every((key) => at[key]);
  }

  #row(row, result) {
    const output = row.querySelector("[data-reading]");
    row.toggleAttribute("data-open", !("value" in result));
    if (!("value" in result)) {
      output.textContent = this.#reason(result);
      return;
    }
    const unit = row.dataset.unit === "°" ? "°" : ` ${row.dataset.unit}`;
    const number = "signed" in row.dataset ? signed(result.value) : result.value.toFixed(1);
    const small = document.createElement("span");
    small.className = "unit";
    small.textContent = `${unit} ± ${plusMinus(result.u)}${unit}`;
    output.replaceChildren(number, small);
  }

  #reason({ missing, check, note }) {
    if (note) return note;
    if (missing?.length > 2) return `needs ${missing.length} marks`;
    const labels = listed((missing ?? check).map((key) => this.marks.nameOf(key)));
    return missing ? `needs ${labels}` : `check ${labels}`;
  }

  // The offset in millimetres, and in the school's steps if a step is not a ball.
  #offsetNote(offset) {
    const mm = "value" in offset ? offset.value * BALL_MM : null;
    const hasOwnStep = Math.abs(this.stepMm - BALL_MM) > 0.005;
    const steps = hasOwnStep ? `, ${signed(mm / this.stepMm)} steps` : "";
    this.note.textContent = mm === null ? "" : `${signed(mm, 0)} mm${steps}`;
  }

  // Below ten times its own doubt across, first order understates; the server then simulates.
  #isSmall(ball) {
    return "value" in ball && ball.value < 10 * this.ballSdPx;
  }

  // Read out at most every so often, and always the newest in the end.
  #speak(offset) {
    const text = "value" in offset ? this.#inWords(offset) : "";
    if (text === this.#spoken) return;
    this.#spoken = text;
    this.#timer ??= setTimeout(() => {
      this.#timer = null;
      this.speech.textContent = this.#spoken;
    }, SPOKEN_EVERY_MS);
  }

  #inWords({ value, u }) {
    const number = signed(value).replace("−", "minus ").replace("+", "plus ");
    return `Forearm-line offset ${number} ball diameters, give or take ${plusMinus(u)}.`;
  }
}
