/**
 * Draws that belong together: a matrix of correlations becomes its lower triangle (Cholesky), which mixes independent
 * normal draws into correlated ones.
 */

/** Rows of a lower triangle L with L L' = matrix. Throws RangeError that says what is wrong with the matrix. */
export function triangleOf(matrix: readonly (readonly number[])[]): readonly (readonly number[])[] {
  const why = wrongWith(matrix);
  if (why !== '') throw new RangeError(why);
  const rows: number[][] = [];
  matrix.forEach((row, i) => {
    const own: number[] = [];
    for (let j = 0; j <= i; j++) {
      const other = j === i ? own : rows[j];
      let rest = row[j];
      for (let k = 0; k < j; k++) rest -= own[k] * other[k];
      if (i !== j) own.push(rest / rows[j][j]);
      else if (rest > SLACK) own.push(Math.sqrt(rest));
      else throw new RangeError(`no draws can have these correlations: row ${i + 1} contradicts the rows above it`);
    }
    rows.push(own);
  });
  return rows;
}

/** A row that is left with less than this depends on others by rounding alone. */
const SLACK = 1e-9;

function wrongWith(matrix: readonly (readonly number[])[]): string {
  const size = matrix.length;
  for (let i = 0; i < size; i++) {
    if (matrix[i].length !== size) return `row ${i + 1} has ${matrix[i].length} numbers; allowed are ${size}`;
    if (matrix[i][i] !== 1) return `row ${i + 1} has ${matrix[i][i]} on the diagonal; allowed is 1`;
    for (let j = 0; j < i; j++) {
      if (matrix[i][j] !== matrix[j][i]) {
        return `row ${i + 1} has ${matrix[i][j]} where row ${j + 1} has ${matrix[j][i]}; both must be the same`;
      }
      if (Math.abs(matrix[i][j]) >= 1) return `row ${i + 1} has ${matrix[i][j]}; allowed is above -1 and below 1`;
    }
  }
  return '';
}

/** Mixes one row of independent normal draws. */
export function mix(triangle: readonly (readonly number[])[], draws: readonly number[]): number[] {
  return triangle.map((row) => row.reduce((sum, factor, k) => sum + factor * draws[k], 0));
}
