// Says below the form, as soon as something else is chosen in it, what speaks against that.

const form = document.querySelector("[data-check]");
const said = form.querySelector("[data-checked]");
let asked = 0;

form.addEventListener("change", async () => {
  const number = ++asked;
  const wish = new FormData(form);
  wish.delete("csrfmiddlewaretoken");
  const answer = await fetch(`${form.dataset.check}?${new URLSearchParams(wish)}`);
  if (number !== asked || !answer.ok || answer.redirected) return; // the move itself will tell
  const { ok, words } = await answer.json();
  said.textContent = ok ? "It fits." : `Not possible. ${words.join(" ")}`;
  said.dataset.fit = ok ? "yes" : "no";
  said.hidden = false;
});

form.setAttribute("data-ready", "");
