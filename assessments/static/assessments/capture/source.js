// What the frames are taken from: a clip or a picture that was picked on this device.

import { frameOf, pictureOf } from "./frames.js";

const CLIP_HELP =
  "Set the camera to its most compatible format and film again, open this page on the device " +
  "that filmed it, or save the frame as a picture there and choose that.";
const PICTURE_HELP = "Save it as JPEG or PNG and choose it again.";

export class Source {
  #file = null;
  #url = null;

  constructor(clip, video, img) {
    Object.assign(this, { clip, video, img });
  }

  get isClip() {
    return this.#file !== null && !this.video.hidden;
  }

  // Rejects with an Error whose words a person can read.
  async open(file) {
    this.#close();
    if (file.type.startsWith("image/")) await this.#openPicture(file, PICTURE_HELP);
    else await this.#openClip(file);
    this.#file = file;
  }

  // The frame that is shown now.
  async frame() {
    const { clip, img, video } = this;
    if (!this.isClip) return { ...(await pictureOf(this.#file, img)), says: this.#file.name };
    const frame = await frameOf(video, video.videoWidth, video.videoHeight);
    const says = `Frame ${clip.number} of ${clip.count}`;
    return { ...frame, says, clip: this.#file, time: clip.time };
  }

  // Some devices do not say what kind of file they give.
  async #openClip(file) {
    this.video.hidden = false; // a video that is not shown tells no frames
    try {
      await this.clip.open(file);
    } catch {
      this.#close();
      if (file.type) throw new Error(`This browser cannot play “${file.name}”. ${CLIP_HELP}`);
      await this.#openPicture(file, CLIP_HELP);
    }
  }

  async #openPicture(file, help) {
    this.#url = URL.createObjectURL(file);
    this.img.src = this.#url;
    try {
      await this.img.decode();
    } catch {
      this.#close();
      throw new Error(`This browser cannot show “${file.name}”. ${help}`);
    }
    this.img.hidden = false;
  }

  #close() {
    this.clip.close();
    this.img.removeAttribute("src");
    if (this.#url) URL.revokeObjectURL(this.#url);
    this.#url = this.#file = null;
    this.video.hidden = this.img.hidden = true;
  }
}
