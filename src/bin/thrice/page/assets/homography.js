// The one projective map that takes four points to four points: how a flat block looks in a photo taken at a slant.

/** The eight numbers a…h of x' = (ax + by + c)/(gx + hy + 1), y' = (dx + ey + f)/(gx + hy + 1); null if degenerate. */
export function homography(from, to) {
  const rows = [];
  for (let i = 0; i < 4; i += 1) {
    const [x, y] = from[i];
    const [u, v] = to[i];
    rows.push([x, y, 1, 0, 0, 0, -u * x, -u * y, u]);
    rows.push([0, 0, 0, x, y, 1, -v * x, -v * y, v]);
  }
  return solve(rows);
}

/** Gauss with the largest pivot: the solution of n equations, each row its coefficients and then the right side. */
function solve(rows) {
  const n = rows.length;
  for (let i = 0; i < n; i += 1) {
    let best = i;
    for (let j = i + 1; j < n; j += 1) if (Math.abs(rows[j][i]) > Math.abs(rows[best][i])) best = j;
    if (Math.abs(rows[best][i]) < 1e-9) return null;
    [rows[i], rows[best]] = [rows[best], rows[i]];
    for (let j = 0; j < n; j += 1) {
      if (j === i) continue;
      const times = rows[j][i] / rows[i][i];
      for (let k = i; k <= n; k += 1) rows[j][k] -= times * rows[i][k];
    }
  }
  return rows.map((row, i) => row[n] / row[i]);
}

/** The map as a CSS transform of an element whose origin is its top left corner. */
export function asTransform([a, b, c, d, e, f, g, hh]) {
  return `matrix3d(${[a, d, 0, g, b, e, 0, hh, 0, 0, 1, 0, c, f, 0, 1].map((v) => v.toPrecision(9)).join(",")})`;
}

/** True if four points go round a quadrangle without a dent: the corners of something seen in perspective. */
export function goesRound(points) {
  const turns = points.map((p, i) => {
    const [q, r] = [points[(i + 1) % 4], points[(i + 2) % 4]];
    return Math.sign((q[0] - p[0]) * (r[1] - q[1]) - (q[1] - p[1]) * (r[0] - q[0]));
  });
  return turns.every((t) => t === turns[0] && t !== 0);
}
