// Puts the grid together: its cells, what is in the hand, and the two ways of moving it.

import { Board } from "./board.js";
import { Days } from "./days.js";
import { Hand } from "./hand.js";
import { Keys } from "./keys.js";
import { Pointer } from "./pointer.js";
import { Tray } from "./tray.js";

const root = document.querySelector("[data-by-hand]");

const board = new Board(root);
const days = new Days(root);
const tray = new Tray(root);
const hand = new Hand(board, tray, root.dataset);
new Keys(board, days, hand);
new Pointer(board, days, hand);
tray.giveUp.addEventListener("click", () => hand.giveUp());

root.querySelector("[data-how]").hidden = false;
if (location.hash.startsWith("#session-")) {
  document.getElementById(location.hash.slice(1))?.focus(); // what was just moved
}
tray.speak(document.querySelector(".notices")?.innerText ?? "");
root.setAttribute("data-ready", "");
