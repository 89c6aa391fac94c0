/**
 * Linear least squares by normal equations, summed row by row; unknowns should be scaled to the same size.
 *
 * Scheme  Cholesky, which also says when an unknown cannot be told from the others.
 * Source  Golub, Van Loan, "Matrix Computations" (from memory).
 */

/** Pivot below this share of its diagonal: the unknown follows from the others. */
const SINGULAR = 1e-12;

export class LeastSquares {
  readonly solution: Float64Array;
  /** Root of the mean square that is left over. */ rest = 0;
  private readonly n: number;
  private readonly normal: Float64Array;
  private readonly right: Float64Array;
  private readonly root: Float64Array;
  private readonly unit: Float64Array;
  private square = 0;
  private rows = 0;

  /** @param n unknowns */
  constructor(n: number) {
    this.n = n;
    this.solution = new Float64Array(n);
    this.normal = new Float64Array(n * n);
    this.right = new Float64Array(n);
    this.root = new Float64Array(n * n);
    this.unit = new Float64Array(n);
  }

  reset(): void {
    this.normal.fill(0);
    this.right.fill(0);
    this.square = 0;
    this.rows = 0;
  }

  /** Adds row . unknowns = value. */
  add(row: Float64Array, value: number): void {
    const { n, normal, right } = this;
    for (let j = 0; j < n; j++) {
      right[j] += row[j] * value;
      for (let k = 0; k <= j; k++) normal[n * j + k] += row[j] * row[k];
    }
    this.square += value * value;
    this.rows++;
  }

  /** Solves; false when the rows do not tell the unknowns apart. */
  solve(): boolean {
    const { n, normal, root } = this;
    for (let j = 0; j < n; j++) {
      for (let k = 0; k <= j; k++) {
        let sum = normal[n * j + k];
        for (let m = 0; m < k; m++) sum -= root[n * j + m] * root[n * k + m];
        if (k < j) root[n * j + k] = sum / root[n * k + k];
        else if (sum > SINGULAR * normal[n * j + j]) root[n * j + j] = Math.sqrt(sum);
        else return false;
      }
    }
    this.substitute(this.right, this.solution);
    let left = this.square;
    for (let j = 0; j < n; j++) left -= this.solution[j] * this.right[j];
    this.rest = Math.sqrt(Math.max(0, left) / Math.max(1, this.rows - n));
    return true;
  }

  /** Deviation of one unknown, from what is left over; after solve(). */
  deviation(which: number): number {
    this.unit.fill(0);
    this.unit[which] = 1;
    this.substitute(this.unit, this.unit);
    return this.rest * Math.sqrt(Math.max(0, this.unit[which]));
  }

  /** Normal matrix times out = right, with the root at hand. */
  private substitute(right: Float64Array, out: Float64Array): void {
    const { n, root } = this;
    for (let j = 0; j < n; j++) {
      let sum = right[j];
      for (let k = 0; k < j; k++) sum -= root[n * j + k] * out[k];
      out[j] = sum / root[n * j + j];
    }
    for (let j = n - 1; j >= 0; j--) {
      let sum = out[j];
      for (let k = j + 1; k < n; k++) sum -= root[n * k + j] * out[k];
      out[j] = sum / root[n * j + j];
    }
  }
}
