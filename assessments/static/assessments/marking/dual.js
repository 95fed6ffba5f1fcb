// Numbers that carry their derivatives by every input along with them (forward-mode automatic
// differentiation), so that an uncertainty is exact to rounding and no difference is ever taken.

export class Dual {
  constructor(value, slopes) {
    this.value = value;
    this.slopes = slopes;
  }

  static input(value, index, count) {
    const slopes = new Float64Array(count);
    slopes[index] = 1;
    return new Dual(value, slopes);
  }

  static constant(value, count) {
    return new Dual(value, new Float64Array(count));
  }

  plus(other) {
    return this.#with(this.value + other.value, other, 1, 1);
  }

  minus(other) {
    return this.#with(this.value - other.value, other, 1, -1);
  }

  times(other) {
    return this.#with(this.value * other.value, other, other.value, this.value);
  }

  over(other) {
    const value = this.value / other.value;
    return this.#with(value, other, 1 / other.value, -value / other.value);
  }

  scaled(factor) {
    return new Dual(factor * this.value, this.slopes.map((slope) => factor * slope));
  }

  shifted(amount) {
    return new Dual(this.value + amount, this.slopes);
  }

  root() {
    const value = Math.sqrt(this.value);
    return new Dual(value, this.slopes.map((slope) => slope / (2 * value)));
  }

  arctangent() {
    const rate = 1 / (1 + this.value ** 2);
    return new Dual(Math.atan(this.value), this.slopes.map((slope) => rate * slope));
  }

  // Root sum of squares over independent inputs with these standard deviations.
  standardUncertainty(deviations) {
    return Math.sqrt(this.slopes.reduce((sum, slope, i) => sum + (slope * deviations[i]) ** 2, 0));
  }

  #with(value, other, mine, theirs) {
    return new Dual(value, this.slopes.map((slope, i) => mine * slope + theirs * other.slopes[i]));
  }
}
