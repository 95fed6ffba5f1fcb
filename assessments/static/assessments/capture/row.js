// One still among many: its picture, what is said of it, and what became of it.

import { pictureOf } from "./frames.js";
import { newId } from "./ids.js";

export const FIELDS = ["enrolment", "phase", "club_class", "shot_kind", "filming_place"];
const ABOVE = "above";
const NEEDED = { enrolment: "a golfer", phase: "a phase" };

export class Row {
  #url = null;
  #blob = null;

  constructor(template, file, number) {
    this.root = template.content.firstElementChild.cloneNode(true);
    this.part = (name) => this.root.querySelector(`[data-${name}]`);
    this.selects = Object.fromEntries(
      FIELDS.map((name) => [name, this.root.querySelector(`[name=${name}]`)]),
    );
    Object.assign(this, { file, id: newId(), state: "open", words: [], guess: "" });
    this.part("name").textContent = file.name;
    this.part("named").textContent = ` ${file.name}`;
    for (const [name, select] of Object.entries(this.selects)) {
      select.id = `${name}-${number}`;
      select.removeAttribute("aria-describedby");
      select.classList.add("form-select");
      select.closest("p").querySelector("label").htmlFor = select.id;
    }
    this.root.addEventListener("change", (event) => this.#changed(event.target));
  }

  // A picture that cannot be shown here goes as it is: the server says what is wrong with it.
  async prepare() {
    const img = this.root.querySelector("img");
    this.#blob = this.file;
    const url = URL.createObjectURL(this.file);
    try {
      img.src = url;
      this.#blob = (await pictureOf(this.file, img)).blob;
      this.#url = URL.createObjectURL(this.#blob);
      img.src = this.#url;
      img.hidden = false;
    } catch {
      this.part("not-shown").hidden = false;
    }
    URL.revokeObjectURL(url);
  }

  get isReady() {
    return !this.isSent && this.#blob !== null && this.missing.length === 0;
  }

  get isSent() {
    return this.state === "sent";
  }

  // What is chosen here, or by the still above where this one says so.
  value(name) {
    const { value } = this.selects[name];
    return value === ABOVE ? (this.above?.value(name) ?? "") : value;
  }

  get missing() {
    return Object.keys(NEEDED)
      .filter((name) => !this.value(name))
      .map((name) => NEEDED[name]);
  }

  get fields() {
    const said = Object.fromEntries(FIELDS.map((name) => [name, this.value(name)]));
    return { ...said, still_id: this.id, picture: this.#blob };
  }

  // `above` is the still before this one, or null. What was chosen through another one stays.
  follow(above) {
    const kept = Object.fromEntries(FIELDS.map((name) => [name, this.value(name)]));
    const isNew = this.above === undefined;
    this.above = above;
    for (const [name, select] of Object.entries(this.selects)) {
      if (above && isNew) this.#offerAbove(select, name);
      else if (!isNew && this.value(name) !== kept[name]) select.value = kept[name];
      if (!above) select.querySelector(`[value=${ABOVE}]`)?.remove();
    }
  }

  #offerAbove(select, name) {
    const option = new Option("= as above", ABOVE);
    if (name === "enrolment") {
      select.options[0].after(option);
      return;
    }
    select.prepend(option);
    select.value = ABOVE;
  }

  chooseAbove() {
    if (this.above) this.choose("enrolment", ABOVE);
  }

  choose(name, value) {
    this.selects[name].value = value;
    this.selects[name].dispatchEvent(new Event("change", { bubbles: true }));
  }

  preselect({ key }) {
    this.selects.enrolment.value = key;
    this.guess = "The golfer was read from the file's name: look whether it is right.";
  }

  #changed(select) {
    if (select === this.selects.enrolment) this.guess = "";
    if (this.state !== "refused" && this.state !== "failed") return;
    Object.assign(this, { state: "open", words: [], id: newId() });
  }

  draw() {
    for (const [name, select] of Object.entries(this.selects)) {
      const option = select.querySelector(`[value=${ABOVE}]`);
      if (option) option.textContent = `= ${this.#inWords(name)}`;
    }
    this.part("fields").inert = this.isSent || this.state === "sending";
    this.part("leave-out").hidden = this.isSent || this.state === "sending";
    this.root.dataset.became = this.state;
    this.part("row-state").textContent = this.#says();
  }

  #inWords(name) {
    const value = this.above.value(name);
    const option = [...this.selects[name].options].find((each) => each.value === value);
    return value || name === "filming_place" ? (option?.text ?? "") : "as above";
  }

  #says() {
    if (this.isSent) return "Sent.";
    if (this.state === "sending") return "Sending.";
    if (this.words.length) return `Not sent. ${this.words.join(" ")}`;
    const { missing } = this;
    const needs = missing.length ? `Needs ${missing.join(" and ")}.` : "Ready to send.";
    return this.guess ? `${this.guess} ${needs}` : needs;
  }

  remove() {
    if (this.#url) URL.revokeObjectURL(this.#url);
    this.root.remove();
  }
}
