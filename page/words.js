// words.js - how numbers are read aloud: lengths, counts, shares. Nothing is decided by them.

const MM_PER_INCH = 25.4; // international yard and pound agreement, 1959

/** True where the maker speaks in centimetres or metres: the height's own words say it. */
export function isMetric(settings) {
  return /\d\s*(cm|mm|m)\b/.test((settings && settings.height) || '');
}

/** "3 ft 0.8 in" or "93.5 cm": the large measures. */
export function longLength(mm, metric) {
  if (metric) return mm < 3000 ? `${trim(mm / 10, 1)} cm` : `${trim(mm / 1000, 2)} m`;
  const inches = mm / MM_PER_INCH;
  if (inches < 36) return `${trim(inches, 1)} in`;
  const feet = Math.floor(Math.round(inches * 10) / 120);
  const rest = trim(Math.round(inches * 10) / 10 - feet * 12, 1);
  return rest === '0' ? `${feet} ft` : `${feet} ft ${rest} in`;
}

/** "54 in", "1.2 m": lengths of seams. */
export function seamLength(mm, metric) {
  if (metric) return mm < 1000 ? `${trim(mm / 10, 0)} cm` : `${trim(mm / 1000, 1)} m`;
  return `${trim(mm / MM_PER_INCH, mm < 254 ? 1 : 0)} in`;
}

/** "8.5 x 11 in", "21 x 29.7 cm". */
export function sheetSize(size, metric) {
  const [w, d] = size.map((mm) => trim(metric ? mm / 10 : mm / MM_PER_INCH, metric ? 1 : 2));
  return `${w} × ${d} ${metric ? 'cm' : 'in'}`;
}

/** "about 3 h", "50 min". */
export function time(minutes) {
  if (minutes < 87.5) return `${Math.max(5, Math.round(minutes / 5) * 5)} min`;
  return `${trim(Math.round(minutes / 30) / 2, 1)} h`;
}

/** "31 %", "less than 1 %". */
export function share(part) {
  return part < 0.01 ? 'less than 1 %' : `${Math.round(part * 100)} %`;
}

/** "1 piece", "3 pieces". */
export function count(number, one, many = `${one}s`) {
  return `${number} ${number === 1 ? one : many}`;
}

/** "navy, teal and red". */
export function list(words) {
  return words.length < 2 ? words.join('') : `${words.slice(0, -1).join(', ')} and ${words[words.length - 1]}`;
}

function trim(number, digits) {
  return String(Number(number.toFixed(digits)));
}

/** Black or white, whichever can be read on the colour better (relative luminance: WCAG 2.2). */
export function inkOn(colour) {
  const [r, g, b] = [1, 3, 5].map((i) => {
    const part = parseInt(colour.slice(i, i + 2), 16) / 255;
    return part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * r + 0.7152 * g + 0.0722 * b > 0.18 ? '#1d1915' : '#ffffff';
}
