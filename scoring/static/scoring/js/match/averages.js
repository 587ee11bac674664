// Averages as text. Whole-number arithmetic throughout, so that no division rounds.

export const ROUNDINGS = ["truncate", "half-up"];

/** Return points per inning with `decimals` places; null without innings. */
export function shown(points, innings, decimals = 3, rounding = "truncate") {
  if (!ROUNDINGS.includes(rounding) || points < 0) {
    throw new RangeError(String(points < 0 ? points : rounding));
  }
  if (innings <= 0) {
    return null;
  }
  const unit = 10 ** decimals;
  const scaled = points * unit;
  const units =
    rounding === "half-up" ? quotient(2 * scaled + innings, 2 * innings) : quotient(scaled, innings);
  const whole = quotient(units, unit);
  const part = String(units % unit).padStart(decimals, "0");
  return decimals ? `${whole}.${part}` : String(whole);
}

function quotient(number, divisor) {
  return (number - (number % divisor)) / divisor;
}
