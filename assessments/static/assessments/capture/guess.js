// Whose still a file is by its name: only if it holds every word of exactly one golfer's name.

export function golferNamedIn(fileName, golfers) {
  const words = new Set(wordsOf(fileName.replace(/\.[^.]*$/, "")));
  const named = golfers.filter(({ name }) => wordsOf(name).every((word) => words.has(word)));
  return named.length === 1 ? named[0] : null;
}

// "AnnaBerg_03" as anna, berg; accents do not count.
function wordsOf(text) {
  return text
    .replace(/(\p{Ll})(\p{Lu})/gu, "$1 $2")
    .normalize("NFD")
    .replace(/\p{M}/gu, "")
    .toLowerCase()
    .split(/[^\p{L}]+/u)
    .filter(Boolean);
}
