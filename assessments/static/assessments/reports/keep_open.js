// What a person has unfolded stays unfolded when a part of the page asks for itself again.
//
// htmx puts the focus back on whatever has an id, so an unfolded part and its summary need one each.

const OPEN = "details[open][id]";
let open = [];

document.addEventListener("htmx:beforeSwap", ({ detail }) => {
  open = [...detail.target.querySelectorAll(OPEN)].map((one) => one.id);
});

document.addEventListener("htmx:afterSwap", () => {
  for (const id of open) document.getElementById(id)?.setAttribute("open", "");
});
