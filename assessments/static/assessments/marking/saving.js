// Whether the marks can be saved, whether they are, and the form that carries them.

import { listed } from "./words.js";

export class Saving {
  #isSending = false;
  #isKept = true;
  #isDirty = false;
  #isAsked = false; // whether marks that nobody confirmed may be saved as they are

  // `saved` are the points the server has, or null; `draft` keeps the others on this device.
  constructor(form, marks, { draft, identity, saved, isRestored }) {
    Object.assign(this, { form, marks, draft, identity, saved, isRestored });
    this.part = (name) => form.querySelector(`[data-${name}]`);
    form.elements.entry_id.value = identity.entryId;
    form.elements.supersedes.value = identity.supersedes ?? "";
    form.addEventListener("submit", (event) => this.#submit(event));
    this.part("start-again").addEventListener("click", () => marks.replaceAll(saved ?? {}));
    marks.addEventListener("change", () => {
      this.isRestored = false;
      this.#isAsked = false;
      this.keep();
    });
    window.addEventListener("beforeunload", (event) => {
      if (this.#isDirty && !this.#isKept && !this.#isSending) event.preventDefault();
    });
    window.addEventListener("pageshow", (event) => {
      if (event.persisted) window.location.reload(); // the entry may have been saved meanwhile
    });
  }

  draw() {
    const { missing, points } = this.marks;
    const isSaved = this.#isSaved();
    this.#isDirty = !isSaved && Object.keys(points).length > 0;
    this.part("save").disabled = this.#isSending || isSaved || missing.length > 0;
    this.part("state").textContent = this.#state(isSaved);
    this.part("state").dataset.state = this.#isDirty ? "open" : "quiet";
    this.part("save").textContent = this.#isAsked
      ? `Save with ${this.#unconfirmed} as they are`
      : "Save the marks";
    this.part("reason").textContent = this.#reason(missing);
    this.part("start-again").hidden = !this.#isDirty;
  }

  get #unconfirmed() {
    const { length } = this.marks.unconfirmed;
    return `${length} ${length === 1 ? "point" : "points"}`;
  }

  #reason(missing) {
    const waitsFor = listed(missing.map(({ key }) => this.marks.nameOf(key)));
    if (waitsFor) return `Before saving, mark: ${waitsFor}.`;
    if (!this.marks.unconfirmed.length) return "";
    const still = `${this.#unconfirmed} taken from the still before, not confirmed yet.`;
    return this.#isAsked ? `${still} Save once more to keep them as they are.` : still;
  }

  #state(isSaved) {
    if (this.#isSending) return "Sending.";
    if (isSaved) return "Saved. Move a mark to correct it.";
    if (!this.#isDirty) return "Nothing marked yet.";
    if (!this.#isKept) return "Not saved yet, and this browser keeps nothing. Save before leaving.";
    return this.isRestored
      ? "Not saved yet. Your marks were kept on this device and are back."
      : "Not saved yet. Your marks are kept on this device.";
  }

  #isSaved() {
    return this.saved !== null && sameText(this.saved) === sameText(this.marks.points);
  }

  keep() {
    const { marks } = this;
    if (this.#isSaved() || Object.keys(marks.points).length === 0) this.draft.forget();
    else this.#isKept = this.draft.write(marks, this.identity);
  }

  // The draft stays: the next visit drops it when the server names this entry as the saved one.
  #submit(event) {
    if (this.part("save").disabled) {
      event.preventDefault();
      return;
    }
    if (this.marks.unconfirmed.length && !this.#isAsked) {
      event.preventDefault();
      this.#isAsked = true;
      this.draw();
      return;
    }
    const before = this.marks.in("before");
    this.form.elements.landmarks.value = JSON.stringify(this.marks.in("at"));
    this.form.elements.landmarks_before.value =
      Object.keys(before).length ? JSON.stringify(before) : "";
    this.#isSending = true;
    this.draw();
  }
}

const sameText = (points) => JSON.stringify(Object.entries(points).sort());
