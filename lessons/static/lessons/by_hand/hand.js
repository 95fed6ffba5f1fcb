// The session that is in the hand: where it fits, and putting it down.

import { keyOf } from "./board.js";
import { withDay } from "./days.js";

const ELSEWHERE = {
  squad: "A session stays with its squad.",
  bay: "This bay is not open.",
  instructor: "This instructor does not teach on these days.",
};

export class Hand {
  #held = null;

  // `by`, `places` and `move` are the grid's columns and the addresses to ask and to tell.
  constructor(board, tray, { by, places, move }) {
    Object.assign(this, { board, tray, by, places, move });
  }

  get isFull() {
    return this.#held !== null;
  }

  holds(card) {
    return this.#held?.card === card;
  }

  // Asks once where it fits; the cells are marked as soon as that is known.
  async pickUp(card) {
    this.giveUp();
    const held = { card, home: this.board.cellOf(card), over: null, places: null };
    this.#held = held;
    card.dataset.held = "";
    this.tray.show(card);
    this.tray.say("Looking where it fits.");
    this.tray.speak(`Picked up ${card.dataset.what}. Looking where it fits.`);
    held.asked = this.#ask(card).catch(() => null);
    const places = await held.asked;
    if (this.#held !== held) return;
    if (places === null) {
      this.#fail("Where it fits could not be asked. Nothing was changed; load the page again.");
      return;
    }
    held.places = places;
    this.board.mark((key) => this.#fit(key));
    this.#sayHowMany();
    if (held.over) this.over(held.over);
  }

  // Tells what speaks for or against the cell; `aloud` for those who go by ear.
  over(cell, { aloud = false } = {}) {
    const held = this.#held;
    if (!held || held.isSent) return;
    held.over = cell;
    this.board.aim(cell);
    if (!held.places) return;
    if (!cell) {
      this.#sayHowMany();
      return;
    }
    const words = this.#verdict(cell);
    this.tray.say(`${cell.dataset.name}. ${words}`, this.#fit(keyOf(cell)));
    if (aloud) this.tray.speak(`${cell.dataset.name}. ${words}`);
  }

  // Where it does not fit it stays in the hand, and the words stay on the screen.
  async drop(cell) {
    const held = this.#held;
    if (!held || held.isSent || !(await held.asked) || this.#held !== held) return;
    const fit = this.#fit(keyOf(cell));
    if (fit === "here") {
      this.giveUp();
    } else if (fit === "yes") {
      await this.#send(held, cell);
    } else {
      this.over(cell);
      this.tray.speak(`Not moved. ${cell.dataset.name}. ${this.#verdict(cell)}`);
    }
  }

  giveUp({ aloud = false } = {}) {
    const held = this.#held;
    if (!held || held.isSent) return;
    this.#held = null;
    delete held.card.dataset.held;
    this.board.unmark();
    this.tray.hide();
    if (aloud) this.tray.speak("Given up. It stays where it was.");
  }

  async #ask(card) {
    const address = this.places.replace("/places/0/", `/places/${card.dataset.session}/`);
    const { places } = await json(`${address}?by=${this.by}`);
    return new Map(places.map((place) => [[place.day, place.slot, place.column].join("-"), place]));
  }

  async #send(held, cell) {
    const place = held.places.get(keyOf(cell));
    held.isSent = true;
    this.tray.say("Moving it.");
    const body = new FormData();
    body.set("session", held.card.dataset.session);
    for (const name of ["day", "slot", "bay", "instructor"]) body.set(name, place[name]);
    const headers = { "X-CSRFToken": this.tray.token };
    const answer = await json(this.move, { method: "POST", body, headers }).catch(() => null);
    if (answer?.ok) {
      history.replaceState(null, "", `${withDay(location.href, place.day + 1)}#${held.card.id}`);
      location.reload();
      return;
    }
    held.isSent = false;
    this.#fail(answer ? answer.words.join(" ") : "It could not be sent. Nothing was changed.");
  }

  #fail(words) {
    this.tray.say(`Not moved. ${words}`, "no");
    this.tray.speak(`Not moved. ${words}`);
  }

  #fit(key) {
    const { home, places } = this.#held;
    if (key === keyOf(home)) return "here";
    const place = places?.get(key);
    if (!place) return "";
    return place.words.length ? "no" : "yes";
  }

  #verdict(cell) {
    const key = keyOf(cell);
    const fit = this.#fit(key);
    if (fit === "here") return "It is here now.";
    if (fit === "yes") return `Fits: ${this.#held.places.get(key).gets}.`;
    const words = this.#held.places.get(key)?.words ?? [ELSEWHERE[this.by]];
    return `Not possible. ${words.join(" ")}`;
  }

  #sayHowMany() {
    const fitting = [...this.#held.places.values()].filter((place) => !place.words.length);
    const home = keyOf(this.#held.home);
    const others = fitting.filter((each) => [each.day, each.slot, each.column].join("-") !== home);
    const words = others.length
      ? `It fits in ${others.length} other ${others.length === 1 ? "cell" : "cells"}.`
      : "It fits nowhere else. Go over a cell to read why.";
    this.tray.say(words);
    this.tray.speak(words);
  }
}

// A page to sign in or an error is no answer.
async function json(address, { headers, ...options } = {}) {
  const answer = await fetch(address, {
    ...options,
    headers: { Accept: "application/json", ...headers },
  });
  if (!answer.ok || answer.redirected) throw new Error(`${address}: ${answer.status}`);
  return answer.json();
}
