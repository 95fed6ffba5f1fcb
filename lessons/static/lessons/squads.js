// Squads by mouse: a golfer is dragged onto another squad's card, which says first what that would
// do. Without a mouse or this script each golfer's own form does the same.

const squads = document.querySelector("[data-squads]");
const members = document.querySelectorAll("[data-enrolment]");
let held = null;
let told = new Map();

if (squads && members.length) {
  document.querySelector("[data-how]").hidden = false;
  for (const member of members) member.draggable = true;
  document.addEventListener("dragstart", take);
  document.addEventListener("dragend", letGo);
  for (const card of squads.querySelectorAll("[data-squad]")) {
    card.addEventListener("dragenter", () => held && over(card));
    card.addEventListener("dragover", (event) => held && event.preventDefault());
    card.addEventListener("dragleave", (event) => {
      if (!card.contains(event.relatedTarget)) leave(card);
    });
    card.addEventListener("drop", (event) => {
      event.preventDefault();
      drop(card);
    });
  }
  squads.setAttribute("data-ready", "");
}

function take(event) {
  held = event.target.closest?.("[data-enrolment]");
  if (!held) return;
  held.dataset.held = "";
  told = new Map();
  event.dataTransfer.effectAllowed = "move";
  event.dataTransfer.setData("text/plain", held.innerText);
}

function letGo() {
  if (held) delete held.dataset.held;
  held = null;
  for (const card of squads.querySelectorAll("[data-over]")) leave(card);
}

async function over(card) {
  if (card.contains(held) || "over" in card.dataset) return;
  card.dataset.over = "";
  const words = await check(held, card);
  if ("over" in card.dataset) card.querySelector("[data-said]").innerHTML = words;
}

function leave(card) {
  delete card.dataset.over;
  card.querySelector("[data-said]").replaceChildren();
}

// What the site says of it, asked once for each squad while the golfer is held.
function check(member, card) {
  const { squad } = card.dataset;
  if (!told.has(squad)) {
    const asked = new URLSearchParams({ enrolment: member.dataset.enrolment, squad });
    told.set(squad, ask(`${squads.dataset.checkUrl}?${asked}`));
  }
  return told.get(squad);
}

async function ask(url) {
  const answer = await fetch(url);
  return answer.ok && !answer.redirected ? answer.text() : "";
}

// What nothing speaks against is done; the rest is left in the golfer's form, to be confirmed.
async function drop(card) {
  const member = held;
  if (!member || card.contains(member)) return;
  const words = await check(member, card);
  const form = member.querySelector("form");
  form.elements.squad.value = card.dataset.squad;
  const said = form.querySelector("[data-check]");
  said.innerHTML = words;
  if (said.querySelector("[data-verdict=fine]")) {
    form.requestSubmit();
    return;
  }
  member.querySelector("details").open = true;
  form.querySelector("button").focus();
}
