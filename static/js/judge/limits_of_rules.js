// The limit of a criterion for one rope: a number, a part of its wires, a printed table; scaled.

import { Fraction, ONE, ZERO, exactText, largest, smallest, whole } from "./exact.js";
import { FACT_WORDS, LOSS_WORDS } from "./lists.js";
import { known, wasSeen } from "./rope.js";

// true, false, or null where a fact that decides it is not known.
export function factsAllow(rope, when) {
  const said = Object.entries(when).map(([fact, allowed]) => allows(rope[fact], allowed));
  if (said.includes(false)) return false;
  return said.includes(null) ? null : true;
}

function allows(fact, allowed) {
  if (!known(fact)) return null;
  if (allowed.includes(fact)) return true;
  const numbers = allowed.filter((each) => typeof each === "number");
  return allowed.includes("or more") && numbers.length > 0 && fact >= Math.max(...numbers);
}

export function lossBounds(indicator, seen) {
  const range = (low, high, missing = []) => ({ low, high, missing, notes: [], reading: null });
  const value = seen[indicator];
  if (value) return range(value.si, value.si);
  const missing = [LOSS_WORDS[indicator]];
  const worn = indicator === "outer_wire_loss" ? wasSeen(seen, "outer_wires_worn") : null;
  if (worn === null) return range(ZERO, null, missing);
  return worn ? range(new Fraction(1n, 3n), null, missing) : range(ZERO, new Fraction(333n, 1000n));
}

export function limitFor(rule, rope, seen) {
  let found;
  if (rule.number !== null) found = { low: Fraction.from(rule.number), high: Fraction.from(rule.number), missing: [] };
  else if (rule.percent !== null) found = partOfWires(rule, rope);
  else found = cell(rule.table, rope, rule.column);
  return scaled(rule.scale, multiplied(rule, found, rope), seen);
}

// A factor of more than one needs its facts known; one below one leaves the limit in doubt.
function multiplied({ times, times_when: when }, found, rope) {
  const factor = Fraction.from(times);
  const apply = when && Object.keys(when).length > 0 ? factsAllow(rope, when) : false;
  if (apply) return part(found, factor, factor);
  if (apply === false || factor.compare(ONE) >= 0) return found;
  const unknown = Object.keys(when).filter((fact) => !known(rope[fact]));
  return part(found, factor, ONE, unknown.map((fact) => FACT_WORDS[fact]));
}

function scaled(scale, found, seen) {
  if (!scale) return found;
  const loss = lossBounds(scale.by, seen);
  const least = stepAt(scale.steps, loss.high, ONE);
  const most = stepAt(scale.steps, loss.low, ONE);
  return part(found, least, most, least.compare(most) === 0 ? [] : loss.missing);
}

// The second figure of the last step that begins at or below the value (null: without bound).
export function stepAt(steps, value, otherwise) {
  const reached = steps.filter(([start]) => value === null || Fraction.from(start).compare(value) <= 0);
  return reached.length ? Fraction.from(reached.at(-1)[1]) : otherwise;
}

function part(found, least, most, missing = []) {
  if (found.low === null) return found;
  return { low: found.low.times(least), high: found.high.times(most), missing: [...found.missing, ...missing] };
}

const notKnown = (...missing) => ({ low: null, high: null, missing });

function partOfWires({ of, percent }, rope) {
  if (!known(rope[of])) return notKnown(FACT_WORDS[of]);
  const wires = whole(rope[of]).times(Fraction.from(percent)).over(whole(100));
  return { low: wires, high: wires, missing: [] };
}

// The printed row for a rope; never extended beyond the table.
function cell(table, rope, column) {
  const fact = table.key;
  if (!known(rope[fact])) return notKnown(FACT_WORDS[fact]);
  const key = rope[fact].si ?? whole(rope[fact]);
  const place = table.rows.findIndex((row) => holds(row, key));
  if (place < 0) return notKnown(`a limit for ${rope[fact].typed ?? rope[fact]}: the printed table has no row for it`);
  const read = (row) => either(figuresOf(table, row, column, key), column in row.cells);
  const here = read(table.rows[place]);
  const back = read(table.rows[Math.max(0, place - table.rows_back)]);
  const same = here.low.compare(back.low) === 0 && here.high.compare(back.high) === 0;
  if (!table.rows_back || rope.seale_strands === false || same) return here;
  if (rope.seale_strands) return back;
  return { low: back.low, high: here.high, missing: [FACT_WORDS.seale, ...back.missing, ...here.missing] };
}

function holds({ first, above, last }, key) {
  if (first !== null && key.compare(Fraction.from(first)) < 0) return false;
  if (above !== null && key.compare(Fraction.from(above)) <= 0) return false;
  return last === null || key.compare(Fraction.from(last)) <= 0;
}

function figuresOf({ rounding }, row, column, key) {
  if (column in row.cells) return row.cells[column].map((figure) => Fraction.from(figure));
  const exact = Fraction.from(row.parts[column]).times(key);
  const up = whole(exact.ceiling());
  if (rounding === "up" || exact.compare(up) === 0) return [up];
  return [up.minus(ONE), up];
}

function either(figures, printed) {
  const [low, high] = [smallest(figures), largest(figures)];
  if (low.compare(high) === 0) return { low, high, missing: [] };
  const texts = figures.toSorted((one, other) => one.compare(other)).map(exactText).join(" or ");
  const words = printed
    ? `whether the standard prints ${texts}: two documents quote it differently`
    : `whether the standard rounds to ${texts}: the documents do not settle it`;
  return { low, high, missing: [words] };
}
