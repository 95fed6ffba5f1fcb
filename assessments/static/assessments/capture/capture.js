// The page on which the frames of one swing are chosen and sent.

import { Chosen } from "./chosen.js";
import { Clip } from "./clip.js";
import { newId } from "./ids.js";
import { Scrub } from "./scrub.js";
import { send } from "./sending.js";
import { Source } from "./source.js";

function start(root, told) {
  const part = (name) => root.querySelector(`[data-${name}]`);
  const details = root.querySelector("form");
  const clip = new Clip(part("video"));
  const source = new Source(clip, part("video"), part("img"));
  const chosen = new Chosen(root);
  const scrub = new Scrub(part("scrub"), clip, {
    framesASecond: told.framesASecond,
    filmingPlace: details.elements.filming_place,
  });
  const sending = new Sending(details, chosen, told.sendUrl);

  async function open(file) {
    if (!file) return;
    part("opening").textContent = `Opening ${file.name}.`;
    part("unreadable").hidden = true;
    try {
      await source.open(file);
    } catch (error) {
      part("unreadable").hidden = false;
      part("why").textContent = error.message;
    }
    part("opening").textContent = "";
    part("stage").hidden = part("video").hidden && part("img").hidden;
    part("scrub").hidden = !source.isClip;
    if (source.isClip) scrub.start();
    else if (!part("stage").hidden && chosen.isEmpty) await take("at");
  }

  async function take(name) {
    try {
      chosen.take(name, await source.frame());
    } catch (error) {
      sending.say("wrong", `The frame could not be taken: ${error.message}.`);
    }
  }

  for (const input of root.querySelectorAll("[data-file]"))
    input.addEventListener("change", async () => {
      await open(input.files[0]);
      input.value = ""; // so that the same file can be picked again
    });
  for (const button of root.querySelectorAll("[data-take]"))
    button.addEventListener("click", () => take(button.dataset.take));
  root.setAttribute("data-ready", "");
}

// Keeps what is chosen until the server has it. Whatever changes gets a number of its own.
class Sending {
  #isUnderWay = false;
  #sent = 0;

  constructor(form, chosen, url) {
    Object.assign(this, { form, chosen, url });
    this.part = (name) => form.querySelector(`[data-${name}]`);
    chosen.addEventListener("change", () => this.#changed());
    form.addEventListener("change", () => this.#changed());
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      this.#send(event.submitter?.dataset.then ?? "mark");
    });
    window.addEventListener("beforeunload", (event) => {
      if (!chosen.isEmpty) event.preventDefault();
    });
    this.#draw();
  }

  // In the live region: `tone` is "good", "wrong" or "quiet".
  say(tone, words) {
    const line = this.part("state");
    line.textContent = words;
    line.dataset.tone = tone;
  }

  #changed() {
    this.form.elements.still_id.value = newId();
    if (!this.chosen.isEmpty) this.say("quiet", "");
    this.#draw();
  }

  #draw() {
    const { hindrance } = this.chosen;
    const isOff = this.#isUnderWay || hindrance !== "";
    for (const button of this.form.querySelectorAll("[data-then]")) button.disabled = isOff;
    this.part("hindrance").textContent = hindrance;
    this.part("fields").disabled = this.#isUnderWay;
  }

  async #send(then) {
    const { still_id, club_class, shot_kind, filming_place } = this.form.elements;
    const fields = {
      still_id: still_id.value,
      club_class: club_class.value,
      shot_kind: shot_kind.value,
      filming_place: filming_place.value,
      picture: this.chosen.at.blob,
    };
    if (this.chosen.before) fields.picture_before = this.chosen.before.blob;
    this.#isUnderWay = true;
    this.#draw();
    this.say("quiet", "Sending.");
    const verdict = await send(this.url, fields);
    this.#isUnderWay = false;
    if (verdict.kind === "kept") this.#kept(then, verdict.url);
    else this.#notKept(verdict);
    this.#draw();
  }

  #kept(then, url) {
    this.#sent += 1;
    this.chosen.clear();
    const still = this.#sent === 1 ? "1 still is" : `${this.#sent} stills are`;
    this.say("good", `Sent. ${still} with the school from this page; choose the next swing.`);
    if (then === "mark") window.location.assign(url);
    else document.querySelector("[data-file]").focus();
  }

  #notKept({ kind, words }) {
    if (kind === "taken") this.form.elements.still_id.value = newId();
    this.say("wrong", `Not sent. ${words.join(" ")}`);
    this.part("state").focus();
  }
}

const root = document.querySelector("[data-capture]");
if (root) start(root, JSON.parse(document.getElementById("capture-data").textContent));
