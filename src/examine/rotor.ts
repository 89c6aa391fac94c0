/** A rotor that turns steadily, as Halls and a capture unit of 10 ns would show it. */
import { hallAgeCounts, hallCode, hallFlags } from './pins.ts';

const SECTOR_RAD = Math.PI / 3;
/** Ticks of one sector: slow against the tick, fast against every time-out of a standstill. */
const SECTOR_TICKS = 24;
/** Past the edge by this much at the start, so that no edge falls on a sampling instant [rad]. */
const START_RAD = 0.01;

export class Rotor {
  /** Electrical speed [rad/s]. */ readonly speed_rad_s: number;
  private readonly tick_s: number;
  private turned = 0;

  /** @param tick_s time from one update point to the next */
  constructor(tick_s: number) {
    this.tick_s = tick_s;
    this.speed_rad_s = SECTOR_RAD / (SECTOR_TICKS * tick_s);
  }

  /** Turns for some ticks. */
  turn(ticks: number): void {
    this.turned += ticks;
  }

  /** Bits of `flags`, and `hallAge`, as the pins stand now. */
  get pins(): { readonly flags: number; readonly hallAge: number } {
    const beyondEdge = (this.turned / SECTOR_TICKS) * SECTOR_RAD + START_RAD;
    const age_s = ((beyondEdge % SECTOR_RAD) / SECTOR_RAD) * SECTOR_TICKS * this.tick_s;
    // Edges lie at 30 + 60 k degrees.
    return { flags: hallFlags(hallCode(beyondEdge + SECTOR_RAD / 2)), hallAge: hallAgeCounts(age_s) };
  }
}

/** Ticks of two electrical turns: any mean over a turn has settled. */
export const SETTLED_TICKS = 12 * SECTOR_TICKS;
