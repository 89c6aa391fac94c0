/** Where the parts of the record are [CSS px]. */
import { DRAWING, ROWS, TIP_Y, UNITS_PER_MM } from '../style/rows.ts';

/** Virtual time that the run track shows [s]. */
export const RUN_SPAN_S = 9;
/** PWM periods that the close-up shows: 8 ms at 20 kHz, five to twelve electrical periods at full speed. */
export const CLOSE_TICKS = 160;
/** Narrower than this, each row shows only the track that suits it. */
const BOTH_FROM_PX = 540;
const CLOSE_SHARE = 0.44;

export interface Layout {
  readonly width: number;
  readonly height: number;
  /** Root font size [px]. */ readonly rem: number;
  /** Both tracks side by side. */ readonly both: boolean;
  readonly runEnd: number;
  readonly closeStart: number;
  /** Height of the strip of times at the bottom. */ readonly axis: number;
  readonly tipY: number;
  readonly perMm: number;
}

/** Lays the record out for a size. */
export function layOut(width: number, height: number, rem: number): Layout {
  const both = width >= BOTH_FROM_PX;
  const closeStart = both ? Math.round(width * (1 - CLOSE_SHARE)) : 0;
  return {
    width,
    height,
    rem,
    both,
    runEnd: both ? closeStart - Math.round(2.1 * rem) : width,
    closeStart,
    axis: Math.round(1.7 * rem),
    tipY: (TIP_Y / DRAWING.height) * height,
    perMm: (UNITS_PER_MM / DRAWING.height) * height,
  };
}

/** Rows that are seen at the scale of the rotor when there is room for one track only. */
export function prefersCloseUp(id: string): boolean {
  return id === 'phase' || id === 'axes' || id === 'angle';
}

/** Upper and lower end of a row's lane, its name line kept free. */
export function laneOf(layout: Layout, index: number): { top: number; bottom: number } {
  const row = ROWS[index];
  return {
    top: row.from * layout.height + 1.75 * layout.rem,
    bottom: row.to * layout.height - 0.3 * layout.rem,
  };
}
