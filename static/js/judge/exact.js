// Exact fractions of whole numbers without limit: the same figures as on the server, to the bit.

export class Fraction {
  constructor(top, bottom = 1n) {
    if (bottom === 0n) throw new RangeError("A fraction cannot have 0 below the line.");
    const sign = bottom < 0n ? -1n : 1n;
    const shared = commonDivisor(top, bottom);
    this.top = (sign * top) / shared;
    this.bottom = (sign * bottom) / shared;
    Object.freeze(this);
  }

  // "3", "-7/2" or "0.372", as the server writes them.
  static from(text) {
    const found = /^(-?)(\d+)(?:\/(\d+)|\.(\d+))?$/.exec(String(text));
    if (!found) throw new RangeError(`${text} is not a fraction.`);
    const [, sign, whole, bottom, places = ""] = found;
    const top = BigInt(whole + places);
    return new Fraction(sign ? -top : top, bottom ? BigInt(bottom) : 10n ** BigInt(places.length));
  }

  plus(other) {
    return new Fraction(this.top * other.bottom + other.top * this.bottom, this.bottom * other.bottom);
  }

  minus(other) {
    return this.plus(other.negative());
  }

  times(other) {
    return new Fraction(this.top * other.top, this.bottom * other.bottom);
  }

  over(other) {
    return new Fraction(this.top * other.bottom, this.bottom * other.top);
  }

  negative() {
    return new Fraction(-this.top, this.bottom);
  }

  size() {
    return this.top < 0n ? this.negative() : this;
  }

  // Below zero, zero or above zero, like the order of the two.
  compare(other) {
    const gap = this.top * other.bottom - other.top * this.bottom;
    return gap < 0n ? -1 : gap > 0n ? 1 : 0;
  }

  ceiling() {
    return -floorOf(-this.top, this.bottom);
  }

  toString() {
    return this.bottom === 1n ? String(this.top) : `${this.top}/${this.bottom}`;
  }
}

export const whole = (number) => new Fraction(BigInt(number));
export const ZERO = whole(0);
export const ONE = whole(1);
export const largest = (values) => values.reduce((most, each) => (each.compare(most) > 0 ? each : most));
export const smallest = (values) => values.reduce((least, each) => (each.compare(least) < 0 ? each : least));

function commonDivisor(one, other) {
  let [a, b] = [one < 0n ? -one : one, other < 0n ? -other : other];
  while (b) [a, b] = [b, a % b];
  return a;
}

function floorOf(top, bottom) {
  const part = top / bottom;
  return top % bottom < 0n ? part - 1n : part;
}

// Rounded half-even to a number of places.
export function roundedText(value, places) {
  const scaled = value.times(new Fraction(10n ** BigInt(places)));
  let near = floorOf(scaled.top, scaled.bottom);
  const rest = 2n * (scaled.top - near * scaled.bottom);
  if (rest > scaled.bottom || (rest === scaled.bottom && near % 2n !== 0n)) near += 1n;
  const digits = String(near < 0n ? -near : near).padStart(places + 1, "0");
  const text = places ? `${digits.slice(0, -places)}.${digits.slice(-places)}` : digits;
  return (near < 0n ? "-" : "") + text;
}

// A finite decimal of at most 12 places, else a fraction.
export function exactText(value) {
  for (let places = 0; places <= 12; places += 1) {
    if ((value.top * 10n ** BigInt(places)) % value.bottom === 0n) return roundedText(value, places);
  }
  const size = value.size();
  const full = size.top / size.bottom;
  const part = `${size.top % size.bottom}/${size.bottom}`;
  return (value.top < 0n ? "-" : "") + (full ? `${full} ${part}` : part);
}
