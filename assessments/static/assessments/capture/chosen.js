// The frames chosen for one still: at or after the strike, and the one before it if there is one.

export class Chosen extends EventTarget {
  #frames = { before: null, at: null };

  constructor(root) {
    super();
    this.root = root;
    for (const name of Object.keys(this.#frames)) {
      this.#part(name).querySelector("[data-drop]").addEventListener("click", () => {
        this.take(name, null);
        root.querySelector(`[data-take=${name}]`).focus();
      });
    }
  }

  get at() {
    return this.#frames.at;
  }

  get before() {
    return this.#frames.before;
  }

  get isEmpty() {
    return !this.at && !this.before;
  }

  // `frame` is {blob, width, height, says, clip, time}, or null to choose none.
  take(name, frame) {
    if (this.#frames[name]) URL.revokeObjectURL(this.#frames[name].url);
    this.#frames[name] = frame && { ...frame, url: URL.createObjectURL(frame.blob) };
    this.#draw(name);
    this.dispatchEvent(new Event("change"));
  }

  clear() {
    for (const name of Object.keys(this.#frames)) this.take(name, null);
  }

  // What hinders sending, in words; empty if nothing does.
  get hindrance() {
    const { at, before } = this;
    if (!at) return "Choose the frame at or after the strike.";
    if (!before) return "";
    if (before.width !== at.width || before.height !== at.height)
      return "The two frames differ in size. Choose both from the same clip.";
    if (before.clip && before.clip === at.clip && before.time === at.time)
      return "Both are the same frame. Choose the one before it, or drop one.";
    if (before.clip && before.clip === at.clip && before.time > at.time)
      return "The frame before the strike comes later in the clip than the other. Swap them.";
    return "";
  }

  #part(name) {
    return this.root.querySelector(`[data-chosen=${name}]`);
  }

  #draw(name) {
    const frame = this.#frames[name];
    const part = this.#part(name);
    const img = part.querySelector("img");
    if (frame) Object.assign(img, { src: frame.url, width: frame.width, height: frame.height });
    else img.removeAttribute("src");
    img.hidden = part.querySelector("[data-drop]").hidden = !frame;
    part.querySelector("[data-says]").textContent = frame?.says ?? part.dataset.none;
  }
}
