// Moving through the clip: the slider, the buttons, the keys, and how long a frame lasts.

const KEYS = { ",": -1, ".": 1, ArrowLeft: -1, ArrowRight: 1, "<": -10, ">": 10 };

export class Scrub {
  constructor(root, clip, { framesASecond, filmingPlace }) {
    Object.assign(this, { root, clip, framesASecond, filmingPlace });
    this.slider = root.querySelector("[data-slider]");
    this.rate = root.querySelector("[data-rate]");
    this.where = root.querySelector("[data-where]");
    this.origin = root.querySelector("[data-rate-origin]");
    this.slider.addEventListener("input", () => clip.seek(this.slider.valueAsNumber));
    this.rate.addEventListener("change", () => this.#setRate(this.rate.valueAsNumber, ""));
    filmingPlace.addEventListener("change", () => this.#takeRateOfPlace());
    for (const button of root.querySelectorAll("[data-step]"))
      button.addEventListener("click", () => clip.step(Number(button.dataset.step)));
    document.addEventListener("keydown", (event) => this.#key(event));
    clip.addEventListener("shown", () => this.draw());
  }

  // After another clip was opened.
  start() {
    this.slider.max = this.clip.duration;
    if (this.clip.isMeasured) this.#setRate(1 / this.clip.frameLength, "Read from the clip.");
    else if (!this.#takeRateOfPlace())
      this.#setRate(1 / this.clip.frameLength, "Assumed: change it if steps skip frames.");
    this.draw();
  }

  draw() {
    const { clip } = this;
    if (this.root.hidden) return;
    this.slider.value = clip.time;
    const words = `Frame ${clip.number} of ${clip.count}`;
    this.slider.setAttribute("aria-valuetext", words);
    this.where.textContent = `${words}, ${clip.time.toFixed(3)} s`;
  }

  #takeRateOfPlace() {
    const rate = this.framesASecond[this.filmingPlace.value];
    if (!rate || this.clip.isMeasured) return false;
    this.#setRate(rate, "As at the filming place.");
    return true;
  }

  #setRate(rate, origin) {
    const isGiven = Number.isFinite(rate) && rate >= 1 && rate <= 2000;
    if (isGiven) this.clip.frameLength = 1 / rate;
    this.rate.value = Math.round(10 / this.clip.frameLength) / 10;
    this.origin.textContent = isGiven ? origin : "Give a number from 1 to 2000.";
    this.draw();
  }

  // Fields keep their own keys; the slider's arrows go frame by frame as the buttons do.
  #key(event) {
    const isTyping =
      event.target !== this.slider && event.target.closest?.("input, select, textarea");
    if (this.root.hidden || isTyping || event.ctrlKey || event.metaKey || event.altKey) return;
    if (!(event.key in KEYS)) return;
    event.preventDefault();
    this.clip.step(KEYS[event.key] * (event.shiftKey && event.key.startsWith("Arrow") ? 10 : 1));
  }
}
