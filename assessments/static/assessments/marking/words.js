// Numbers and lists in words, as the rest of the house writes them.

// Two standard uncertainties, rounded up so that it never reads as nothing.
export function plusMinus(u) {
  return (Math.ceil(20 * u - 1e-9) / 10).toFixed(1);
}

export function signed(value, decimals = 1) {
  const text = Math.abs(value).toFixed(decimals);
  if (Number(text) === 0) return text;
  return (value < 0 ? "−" : "+") + text;
}

// Names have commas of their own.
export const listed = (names) => names.join("; ");

export const sentence = (text) => text.charAt(0).toUpperCase() + text.slice(1);
