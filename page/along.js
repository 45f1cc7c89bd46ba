// along.js - where a finger is on a drawn line. Drawing only: where a seam runs is the engine's business.

/** PATH data (absolute M, L, C, Z) as lists of points [x, y]; curves in six steps, enough for a finger. */
export function polylines(path) {
  const lines = [];
  let line = null;
  let start = null;
  for (const [, letter, rest] of path.matchAll(/([MLCZ])([^MLCZ]*)/g)) {
    const v = rest.trim()
      ? rest
          .trim()
          .split(/[\s,]+/)
          .map(Number)
      : [];
    if (letter === 'M') lines.push((line = [(start = [v[0], v[1]])]));
    else if (letter === 'Z') line.push(start);
    else if (letter === 'L') for (let i = 0; i + 1 < v.length; i += 2) line.push([v[i], v[i + 1]]);
    else for (let i = 0; i + 5 < v.length; i += 6) curve(line, v.slice(i, i + 6));
  }
  return lines;
}

function curve(line, [bx, by, cx, cy, dx, dy]) {
  const [ax, ay] = line[line.length - 1];
  for (let step = 1; step <= 6; step++) {
    const t = step / 6;
    const s = 1 - t;
    const [p, q, r, w] = [s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t];
    line.push([p * ax + q * bx + r * cx + w * dx, p * ay + q * by + r * cy + w * dy]);
  }
}

/** The place on the lines that is nearest to (x, y): {line, edge, t, at, distance}. */
export function nearest(lines, x, y) {
  let best = null;
  lines.forEach((line, number) => {
    for (let i = 0; i + 1 < line.length; i++) {
      const [ax, ay] = line[i];
      const [ex, ey] = [line[i + 1][0] - ax, line[i + 1][1] - ay];
      const long = ex * ex + ey * ey;
      const t = long ? Math.min(1, Math.max(0, ((x - ax) * ex + (y - ay) * ey) / long)) : 0;
      const at = [ax + t * ex, ay + t * ey];
      const distance = Math.hypot(at[0] - x, at[1] - y);
      if (!best || distance < best.distance) best = { line: number, edge: i, t, at, distance };
    }
  });
  return best;
}

/** The place `step` further along the same line (backwards when negative); lines run round. */
export function slide(lines, place, step) {
  const line = lines[place.line];
  let { edge, t } = place;
  let left = Math.abs(step);
  const forward = step > 0;
  for (let guard = 0; guard < line.length + 1; guard++) {
    const [a, b] = [line[edge], line[edge + 1]];
    const long = Math.hypot(b[0] - a[0], b[1] - a[1]);
    const rest = forward ? (1 - t) * long : t * long;
    if (left <= rest && long > 0) {
      t += ((forward ? 1 : -1) * left) / long;
      return { line: place.line, edge, t, at: [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])], distance: 0 };
    }
    left -= rest;
    edge = (edge + (forward ? 1 : -1) + line.length - 1) % (line.length - 1);
    t = forward ? 0 : 1;
  }
  return place;
}
