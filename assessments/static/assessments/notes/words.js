// How long a text is and may be, in words: `data-most-words` on a textarea.

function wordsIn(text) {
  return text.trim().split(/\s+/).filter(Boolean).length;
}

function said(count, most) {
  const so = `${count.toLocaleString("en-GB")} ${count === 1 ? "word" : "words"}`;
  return count > most
    ? `${so}: ${(count - most).toLocaleString("en-GB")} too many.`
    : `${so} of at most ${most.toLocaleString("en-GB")}.`;
}

export function countWords() {
  for (const text of document.querySelectorAll("textarea[data-most-words]")) {
    const line = document.createElement("p");
    line.className = "words-so-far";
    const count = () => {
      line.textContent = said(wordsIn(text.value), Number(text.dataset.mostWords));
    };
    text.after(line);
    text.addEventListener("input", count);
    count();
  }
}
