// The page on which many stills are given to their golfers and sent one by one.

import { golferNamedIn } from "./guess.js";
import { Row } from "./row.js";
import { newId } from "./ids.js";
import { send } from "./sending.js";

const MOST = 60; // what a tablet holds at once

function start(form, told) {
  const bulk = new Bulk(form, told);
  const picked = form.querySelector("[data-files]");
  picked.addEventListener("change", async () => {
    await bulk.add([...picked.files]);
    picked.value = "";
  });
  const zone = form.querySelector("[data-drop-zone]");
  const over = (isOver) => (event) => {
    event.preventDefault();
    zone.toggleAttribute("data-over", isOver);
  };
  form.addEventListener("dragover", over(true));
  form.addEventListener("dragleave", over(false));
  form.addEventListener("drop", (event) => {
    over(false)(event);
    bulk.add([...event.dataTransfer.files]);
  });
  form.setAttribute("data-ready", "");
}

class Bulk {
  #rows = [];
  #number = 0;
  #isUnderWay = false;

  constructor(form, { golfers, sendUrl }) {
    Object.assign(this, { form, golfers, sendUrl });
    this.template = document.querySelector("[data-row]");
    this.part = (name) => form.querySelector(`[data-${name}]`);
    form.addEventListener("change", () => this.#draw());
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      this.#sendAll();
    });
    window.addEventListener("beforeunload", (event) => {
      if (this.#rows.some((row) => !row.isSent)) event.preventDefault();
    });
  }

  async add(files) {
    const clips = files.filter((file) => file.type.startsWith("video/"));
    const pictures = files.filter((file) => !clips.includes(file));
    const room = Math.max(0, MOST - this.#rows.length);
    this.#say(clips, pictures.slice(room));
    for (const file of pictures.slice(0, room)) await this.#addOne(file);
    this.#draw();
  }

  async #addOne(file) {
    this.#number += 1;
    const row = new Row(this.template, file, this.#number);
    row.follow(this.#rows.at(-1) ?? null);
    const named = golferNamedIn(file.name, this.golfers);
    if (named) row.preselect(named);
    this.#rows.push(row);
    this.part("rows").append(row.root);
    row.part("leave-out").addEventListener("click", () => this.#leaveOut(row));
    row.selects.enrolment.addEventListener("keydown", (event) => this.#key(event, row));
    await row.prepare();
    this.#draw();
  }

  #say(clips, tooMany) {
    const words = [];
    if (clips.length)
      words.push(
        `Not taken: ${namesOf(clips)}. The frames of a clip are chosen on the golfer's own page.`,
      );
    if (tooMany.length)
      words.push(`Not taken: ${namesOf(tooMany)}. Send these ${MOST} first, then choose the rest.`);
    this.part("said").textContent = words.join(" ");
  }

  #leaveOut(row) {
    const place = this.#rows.indexOf(row);
    const below = this.#rows[place + 1];
    below?.follow(row.above);
    this.#rows.splice(place, 1);
    row.remove();
    this.#draw();
    (below ?? this.#rows.at(-1))?.selects.enrolment.focus();
  }

  #key(event, row) {
    if (event.key !== "Enter" && event.key !== "=") return;
    event.preventDefault();
    if (event.key === "=") row.chooseAbove();
    const next = this.#rows.slice(this.#rows.indexOf(row) + 1).find((each) => !each.isSent);
    if (next) next.selects.enrolment.focus();
    else this.part("send").focus();
  }

  async #sendAll() {
    if (this.#isUnderWay) return;
    this.#isUnderWay = true;
    for (const row of this.#rows.filter((each) => each.isReady)) {
      await this.#sendOne(row);
      if (row.state === "failed") break; // the others would not arrive either
    }
    this.#isUnderWay = false;
    this.#draw();
    this.part("state").focus();
  }

  async #sendOne(row) {
    row.state = "sending";
    this.#draw();
    const { kind, words } = await send(this.sendUrl, row.fields);
    if (kind === "taken") row.id = newId();
    row.state = { kept: "sent", failed: "failed" }[kind] ?? "refused";
    row.words = words;
    this.#draw();
  }

  #draw() {
    for (const row of this.#rows) row.draw();
    const rows = this.#rows;
    const sent = rows.filter((row) => row.isSent);
    const ready = rows.filter((row) => row.isReady);
    this.part("work").hidden = rows.length === 0;
    this.part("progress").max = rows.length || 1;
    this.part("progress").value = sent.length;
    this.part("state").textContent = this.#says(sent, ready);
    this.part("send").disabled = this.#isUnderWay || ready.length === 0;
    const isDone = rows.length > 0 && sent.length === rows.length;
    this.part("send").hidden = isDone;
    this.part("mark").hidden = this.#isUnderWay || sent.length === 0;
    this.part("mark").classList.toggle("btn-primary", isDone);
    this.part("mark").classList.toggle("btn-secondary", !isDone);
  }

  #says(sent, ready) {
    const count = (state) => this.#rows.filter((row) => row.state === state).length;
    const open = this.#rows.length - sent.length - ready.length;
    const words = [`${sent.length} of ${this.#rows.length} sent.`];
    if (this.#isUnderWay) words.push("Sending.");
    if (count("failed"))
      words.push("The sending broke off. What is left is kept on this page: send again.");
    if (count("refused")) words.push(`${count("refused")} refused: the reason stands beside it.`);
    if (open) words.push(`${open} still ${open === 1 ? "needs" : "need"} a golfer or a phase.`);
    return words.join(" ");
  }
}

const namesOf = (files) => files.map(({ name }) => name).join(", ");

const form = document.querySelector("[data-bulk]");
if (form) start(form, JSON.parse(document.getElementById("bulk-data").textContent));
