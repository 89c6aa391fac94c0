/**
 * Voltage pulses all around from no current, and what current answered: the record from which the map is fitted.
 *
 * Scheme  n periods up, 2 n down, n up: current goes to one side, to the other and back, its mean torque is none, and the legs open
 *         until it is gone, so that every pulse begins at the flux of the magnet alone. Opposite directions follow each other:
 *         what one turns the rotor by, the other turns back. A pulse lasts half a millisecond, in which inertia holds the rotor
 *         better than a hand on the chuck could across the play of a gearbox.
 * Source  square voltage reversed at a current limit: Hinkkanen, Pescetto, Molsa, Saarakkala, Pellegrino, Bojoi, "Sensorless
 *         self-commissioning of synchronous reluctance motors at standstill without rotor locking", IEEE Trans. Ind. Appl.
 *         53(3), 2017 (bibliography read); this pattern derived here.
 */
import { cosine, sine } from '../../units/elementary.ts';
import { FINISHED, GOING_ON } from './outcome.ts';
import type { PowerStage } from './power-stage.ts';

/** Directions over the full circle, and times that each is pulsed. */
const DIRECTIONS = 24;
const ROUNDS = 3;
export const PULSES = DIRECTIONS * ROUNDS;
/** Periods of a quarter of a pulse, at most. */
const QUARTER_MOST = 6;
const LENGTH_MOST = 4 * QUARTER_MOST;
/** Voltage of a pulse as a share of the link, at most. */
const SHARE_MOST = 0.45;
/** Current at the tips as a share of the largest allowed: in the first round, and aimed at from what that one showed. */
const FIRST_SHARE = 0.5;
const TIP_SHARE = 0.85;
const GAIN_MOST = 2;
/** Ticks from the last voltage until the next pulse: current gone, rotor at rest. */
const REST_TICKS = 40;
/** A command acts a period later and is seen at the end of that period. */
const LATE = 2;

export class MapPulses {
  /** Samples of a pulse, after each of its periods. */ length = 0;
  /** Volts, mean current and current after each period of each pulse: u, j, i in alpha and beta. */
  readonly record = new Float64Array(6 * LENGTH_MOST * PULSES);
  private quarter = 0;
  /** Largest current along each direction in the first round [A]. */ private readonly tip = new Float64Array(
    DIRECTIONS,
  );
  private volt = 0;
  private pulse = 0;
  private tick = 0;

  reset(): void {
    this.pulse = 0;
    this.tick = 0;
    this.quarter = 0;
    this.tip.fill(0);
  }

  step(stage: PowerStage, tick_s: number, henry: number, most_A: number): number {
    if (this.quarter === 0) this.plan(stage.link_V, tick_s, henry, most_A);
    const { tick, length } = this;
    const seen = tick - LATE;
    if (seen >= 0 && seen < length) this.note(stage, seen);
    if (tick < length) {
      const up = tick < this.quarter || tick >= 3 * this.quarter;
      const limit = SHARE_MOST * stage.link_V;
      const volt = Math.min(limit, this.volt * this.gain(most_A)) * (up ? 1 : -1);
      const phi = direction(this.pulse);
      stage.volts(volt * cosine(phi), volt * sine(phi));
    } else if (tick === length) {
      // The last sample needs legs that are still driven: open ones do not show the current.
      stage.volts(0, 0);
    } else stage.off();
    this.tick++;
    if (this.tick < length + REST_TICKS) return GOING_ON;
    this.tick = 0;
    this.pulse++;
    return this.pulse < PULSES ? GOING_ON : FINISHED;
  }

  private plan(link_V: number, tick_s: number, henry: number, most_A: number): void {
    const periods = (henry * TIP_SHARE * most_A) / (SHARE_MOST * link_V * tick_s);
    this.quarter = Math.max(2, Math.min(QUARTER_MOST, Math.ceil(periods)));
    this.length = 4 * this.quarter;
    this.volt = Math.min(SHARE_MOST * link_V, (henry * FIRST_SHARE * most_A) / (this.quarter * tick_s));
  }

  /** After the first round each direction is pulsed as hard as it takes to reach the current aimed at. */
  private gain(most_A: number): number {
    const seen = this.tip[this.pulse % DIRECTIONS];
    if (this.pulse < DIRECTIONS || !(seen > 0)) return 1;
    return Math.min(GAIN_MOST, (TIP_SHARE * most_A) / seen);
  }

  private note(stage: PowerStage, seen: number): void {
    const { record } = this;
    const at = 6 * (this.pulse * this.length + seen);
    record[at] = stage.uAlpha;
    record[at + 1] = stage.uBeta;
    record[at + 2] = stage.meanAlpha;
    record[at + 3] = stage.meanBeta;
    record[at + 4] = stage.iAlpha;
    record[at + 5] = stage.iBeta;
    if (this.pulse >= DIRECTIONS) return;
    const { tip, pulse } = this;
    tip[pulse] = Math.max(tip[pulse], Math.sqrt(stage.iAlpha * stage.iAlpha + stage.iBeta * stage.iBeta));
  }
}

/** Direction of a pulse: each is followed by its opposite, and the pair by one far away. */
function direction(pulse: number): number {
  const pairs = DIRECTIONS / 2;
  const pair = (pulse >> 1) % pairs;
  return ((((5 * pair) % pairs) / DIRECTIONS + 0.5 * (pulse & 1)) % 1) * 2 * Math.PI;
}
