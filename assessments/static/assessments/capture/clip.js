// A clip in a video element, shown frame by frame.
//
// Where the browser tells which frame it shows (requestVideoFrameCallback), a step goes by that;
// elsewhere by the time and the length of a frame. Either way it aims at the middle of a frame, so
// that rounding does not decide which of two is shown.

const FIRST_GUESS_S = 1 / 30;
const NO_NEW_FRAME_MS = 500;
const TRIES = 8;
const SEVERAL = 16;

export class Clip extends EventTarget {
  #video;
  #url = null;
  #frame = null; // when the frame shown begins, where the browser tells
  #aim = 0; // the time last asked for
  #waiting = null; // the time asked for while another is still on its way
  #underWay = null;
  #toGo = 0; // steps not taken yet
  #walk = null;

  constructor(video) {
    super();
    this.#video = video;
    this.tellsFrames = "requestVideoFrameCallback" in video;
    this.frameLength = FIRST_GUESS_S;
    this.isMeasured = false;
  }

  get duration() {
    return this.#video.duration;
  }

  get time() {
    return this.#frame ?? this.#video.currentTime;
  }

  // Counted from 1.
  get number() {
    return Math.floor(this.time / this.frameLength + 0.01) + 1;
  }

  get count() {
    return Math.max(this.number, Math.round(this.duration / this.frameLength));
  }

  // Rejects for a file that this browser does not play.
  async open(file) {
    this.close();
    this.#url = URL.createObjectURL(file);
    this.#video.src = this.#url;
    await arrived(this.#video, "loadeddata");
    if (!this.#video.videoWidth) throw new Error("there is no picture in it");
    if (!Number.isFinite(this.duration)) await this.#findTheEnd();
    await this.seek(0);
    this.isMeasured = this.tellsFrames && (await this.#measureFrame());
  }

  close() {
    if (!this.#url) return;
    this.#video.removeAttribute("src");
    this.#video.load();
    URL.revokeObjectURL(this.#url);
    this.#url = this.#frame = this.#waiting = null;
    this.frameLength = FIRST_GUESS_S;
  }

  // Shows the frame at that time. While one is on its way, only the newest wish is kept.
  seek(time) {
    this.#aim = this.#waiting = Math.min(Math.max(time, 0), this.duration);
    this.#underWay ??= this.#follow().finally(() => {
      this.#underWay = null;
    });
    return this.#underWay;
  }

  // Shows the frame that many further on. Steps asked for meanwhile are taken together.
  step(count) {
    this.#toGo += count;
    this.#walk ??= this.#goOn().finally(() => {
      this.#walk = null;
    });
    return this.#walk;
  }

  async #goOn() {
    while (this.#toGo !== 0) {
      const count = this.#toGo;
      this.#toGo = 0;
      await this.#stepBy(count);
    }
  }

  // A frame that lasts longer than thought is stepped over all the same.
  async #stepBy(count) {
    const before = this.#frame;
    await this.seek(this.#middle() + count * this.frameLength);
    for (let tries = 0; tries < TRIES && this.#isStuck(before, count); tries += 1)
      await this.seek(this.#aim + Math.sign(count) * this.frameLength);
  }

  #middle() {
    if (this.#frame !== null) return this.#frame + this.frameLength / 2;
    return (this.number - 0.5) * this.frameLength;
  }

  #isStuck(before, count) {
    const isAtAnEnd = count < 0 ? this.#aim <= 0 : this.#aim >= this.duration;
    return this.#frame !== null && this.#frame === before && !isAtAnEnd;
  }

  async #follow() {
    while (this.#waiting !== null) {
      const time = this.#waiting;
      this.#waiting = null;
      await this.#show(time);
    }
    this.dispatchEvent(new Event("shown"));
  }

  async #show(time) {
    const shown = this.tellsFrames ? this.#nextFrame() : null;
    const seeked = arrived(this.#video, "seeked");
    this.#video.currentTime = time;
    await seeked;
    if (!shown) return;
    const soon = new Promise((done) => setTimeout(done, NO_NEW_FRAME_MS));
    await Promise.race([shown, soon]);
  }

  #nextFrame() {
    return new Promise((done) => {
      this.#video.requestVideoFrameCallback((now, { mediaTime }) => {
        this.#frame = mediaTime;
        done();
        if (!this.#underWay) this.dispatchEvent(new Event("shown")); // it came late
      });
    });
  }

  // A clip that was recorded on the fly says its length only once its end was looked for.
  async #findTheEnd() {
    const told = new Promise((done) => {
      const look = () => {
        if (!Number.isFinite(this.duration)) return;
        this.#video.removeEventListener("durationchange", look);
        done();
      };
      this.#video.addEventListener("durationchange", look);
    });
    this.#video.currentTime = Number.MAX_SAFE_INTEGER;
    await told;
  }

  // From the first frame on in steps that double, the first other frame is the very next one.
  // Times in the file are rounded, so that the mean of several is nearer.
  async #measureFrame() {
    const first = this.#frame;
    if (first === null) return false;
    for (let further = 0.001; this.#frame === first && further < this.duration; further *= 2)
      await this.seek(first + further);
    if (this.#frame === first) return false;
    const length = this.#frame - first;
    await this.seek(first + (SEVERAL + 0.5) * length);
    this.frameLength = (this.#frame - first) / Math.round((this.#frame - first) / length);
    await this.seek(0);
    return true;
  }
}

function arrived(video, name) {
  return new Promise((done, fail) => {
    const stop = new AbortController();
    const listen = (event, then) =>
      video.addEventListener(
        event,
        () => {
          stop.abort();
          then(video.error ?? undefined);
        },
        { signal: stop.signal },
      );
    listen(name, done);
    listen("error", fail);
  });
}
