/**
 * Lengths as the page says and writes them. The server judges all lengths; here are only those that come from moving things by hand.
 */

const MM_PER_INCH = 25.4;

/** How far an arrow key moves something, in millimetres: 1 mm, or 1/16 in. */
export function stepOf(units) {
  return units === "mm" ? 1 : MM_PER_INCH / 16;
}

/** A length to be read: "3.5 in" or "89 mm". */
export function spoken(mm, units) {
  return units === "mm" ? `${rounded(mm, 1)} mm` : `${rounded(mm / MM_PER_INCH, 2)} in`;
}

/** A length to be written into the project, on a fine step: 0.5 mm or 1/32 in. */
export function written(mm, units) {
  return units === "mm" ? `${Math.round(mm * 2) / 2} mm` : `${fraction(Math.round((mm / MM_PER_INCH) * 32), 32)} in`;
}

/** What was typed, in millimetres; null where the page cannot tell. Takes "12 mm", "1 3/8 in", "1.5", and commas. */
export function millimetresOf(text, units) {
  const match = /^\s*(-?)(?:(\d+)[\s-]+)?(?:(\d+)\/(\d+)|(\d+(?:[.,]\d+)?))\s*(mm|cm|in|")?\s*$/.exec(text);
  if (!match || (match[2] && match[5])) return null;
  const part = match[3] ? Number(match[3]) / Number(match[4]) : Number(match[5].replace(",", "."));
  const number = (match[1] ? -1 : 1) * (Number(match[2] ?? 0) + part);
  if (!Number.isFinite(number)) return null;
  const unit = match[6] ?? units;
  return number * (unit === "mm" ? 1 : unit === "cm" ? 10 : MM_PER_INCH);
}

function fraction(count, of) {
  const sign = count < 0 ? "-" : "";
  const left = Math.abs(count);
  const whole = Math.floor(left / of);
  let [top, bottom] = [left % of, of];
  while (top && top % 2 === 0) [top, bottom] = [top / 2, bottom / 2];
  if (!top) return `${sign}${whole}`;
  return `${sign}${whole ? `${whole} ` : ""}${top}/${bottom}`;
}

function rounded(number, digits) {
  return String(Number(number.toFixed(digits)));
}
