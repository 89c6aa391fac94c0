/**
 * Sector and speed from Hall edges that carry a capture time.
 *
 * Model   speed = (60 deg) / (time between two edges), averaged over up to one electrical turn, because sensors sit
 *         5 to 10 deg off their places (common practice, from memory) and whole turns cancel that. Slow edges are not
 *         averaged for longer than WINDOW_S, so that the speed loop does not lag at low speed.
 * Limits  0 until two edges in the same sense were seen; between edges the magnitude never exceeds 60 deg / (time
 *         since the last edge); 0 after STILL_S without an edge.
 * Source  J. Yoo et al., IEEE Trans. Power Electronics 24(12), 2009, and A. Akrami et al., "Hall sensors for PMSM: a
 *         review", EEEIC 2023 (abstracts); the equations above are plain kinematics.
 */
import { SECTOR_OF_CODE, sectorStep } from './hall-sector.ts';

/** One sector [rad electrical]. */
export const SECTOR_RAD = Math.PI / 3;
const TURN = 6;
/** Longest time over which edges are averaged [s]. */
export const WINDOW_S = 4e-3;
/** Without an edge for this long the rotor counts as still [s]. */
export const STILL_S = 0.1;
/** Shortest believed time between edges [s]: 52 000 rad/s electrical, five times the top speed. */
const SHORTEST_S = 20e-6;

export class HallSpeed {
  /** Sector 0 to 5, -1 before the first valid code. */ sector = -1;
  /** Sense of the last edge: 1 towards rising angle, -1 falling, 0 unknown. */ sense = 0;
  /** Time since the last edge [s], up to STILL_S. */ since_s = STILL_S;
  /** Mean speed at the last edge, magnitude [rad/s electrical], not decayed. */ mean_rad_s = 0;
  /** Speed now, signed [rad/s electrical], decayed. */ speed_rad_s = 0;
  /** 1 after a code that is no neighbor of the last, until the next regular edge. */ doubtful = 0;
  private strange = 0;
  private newest = 0;
  private count = 0;
  private readonly intervals_s = new Float64Array(TURN);

  /** Forgets everything. */
  reset(): void {
    this.sector = -1;
    this.sense = 0;
    this.since_s = STILL_S;
    this.doubtful = 0;
    this.strange = 0;
    this.forgetSpeed();
  }

  /**
   * Takes the code of one tick.
   *
   * @param code      Hall code A + 2 B + 4 C; 0 and 7 leave the sector as it was
   * @param age_s     time from the last edge to this sampling instant [s]; believed only when the code changed
   * @param elapsed_s time since the previous call [s]
   */
  update(code: number, age_s: number, elapsed_s: number): void {
    const before_s = this.since_s;
    this.since_s = Math.min(before_s + elapsed_s, STILL_S);
    const sector = SECTOR_OF_CODE[code];
    if (sector < 0 || sector === this.sector) this.strange = 0;
    else this.change(sector, before_s, Math.min(age_s, elapsed_s), elapsed_s);
    if (this.since_s >= STILL_S) this.forgetSpeed();
    const bound_rad_s = this.since_s > 0 ? SECTOR_RAD / this.since_s : this.mean_rad_s;
    this.speed_rad_s = this.sense * Math.min(this.mean_rad_s, bound_rad_s);
  }

  private change(sector: number, before_s: number, age_s: number, elapsed_s: number): void {
    const step = this.sector < 0 ? 0 : sectorStep(this.sector, sector);
    if (step === 1 || step === -1) {
      if (step !== this.sense || before_s >= STILL_S) this.forgetSpeed();
      else this.push(Math.max(before_s + elapsed_s - age_s, SHORTEST_S));
      this.sense = step;
      this.doubtful = 0;
    } else if (this.sector >= 0 && this.strange === 0) {
      this.strange = 1; // keep the last sector for one tick: it may be a spike on a wire
      return;
    } else {
      this.doubtful = this.sector < 0 ? 0 : 1;
      this.sense = 0;
      this.forgetSpeed();
    }
    this.strange = 0;
    this.sector = sector;
    this.since_s = age_s;
  }

  private push(interval_s: number): void {
    this.newest = (this.newest + 1) % TURN;
    this.intervals_s[this.newest] = interval_s;
    if (this.count < TURN) this.count += 1;
    let sum_s = interval_s;
    let n = 1;
    while (n < this.count) {
      const next_s = this.intervals_s[(this.newest - n + TURN) % TURN];
      if (sum_s + next_s > WINDOW_S) break;
      sum_s += next_s;
      n += 1;
    }
    this.mean_rad_s = (n * SECTOR_RAD) / sum_s;
  }

  private forgetSpeed(): void {
    this.mean_rad_s = 0;
    this.count = 0;
  }
}
