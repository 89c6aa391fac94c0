/**
 * The rows of the stage, top to bottom in the order of the drill. Record and Now share these shares of the stage
 * height, so that a wave stands at the height of the part that made it.
 */
export interface Row {
  readonly id: 'pack' | 'phase' | 'axes' | 'angle' | 'speed' | 'torque' | 'depth';
  readonly name: string;
  /** Said after the name over the run track and over the close-up. */ readonly run: string;
  readonly close: string;
  /** Share of the stage height at which the row begins and ends, 0 to 1. */
  readonly from: number;
  readonly to: number;
  /** Display unit, a key of src/units/convert.ts; the marks below are in it. */ readonly unit: string;
  /** Uppermost marks to choose from, rising; the scale ends half a mark above the one in use. */
  readonly tops: readonly number[];
  /** Marks below zero: always, as soon as there is something to show there, or never. */
  readonly below: 'always' | 'when needed' | 'never';
}

export const ROWS: readonly Row[] = [
  {
    id: 'pack',
    name: 'Pack and link',
    run: 'link voltage, V',
    close: 'true, and as sensed',
    from: 0,
    to: 0.105,
    unit: 'V',
    tops: [20],
    below: 'never',
  },
  {
    id: 'phase',
    name: 'Phase currents',
    run: 'least to greatest of all three, A',
    close: 'true, and as sensed',
    from: 0.105,
    to: 0.245,
    unit: 'A',
    tops: [5, 10, 20, 40, 60, 100],
    below: 'always',
  },
  {
    id: 'axes',
    name: 'Current on the rotor',
    run: 'd and q axis, A',
    close: 'd and q, true',
    from: 0.245,
    to: 0.345,
    unit: 'A',
    tops: [5, 10, 20, 40, 60, 100],
    below: 'always',
  },
  {
    id: 'angle',
    name: 'Rotor angle',
    run: 'how far the current leads the rotor, electrical °',
    close: 'electrical °, true, and by the Halls',
    from: 0.345,
    to: 0.495,
    unit: 'deg el',
    tops: [90],
    below: 'always',
  },
  {
    id: 'speed',
    name: 'Motor speed',
    run: 'electrical, Hz',
    close: 'true, and as the controller estimates it',
    from: 0.495,
    to: 0.605,
    unit: 'Hz el',
    tops: [200, 500, 1000, 1500],
    below: 'when needed',
  },
  {
    id: 'torque',
    name: 'Chuck torque',
    run: 'from the gearbox, N·m',
    close: '',
    from: 0.605,
    to: 0.7175,
    unit: 'N·m',
    tops: [1, 2, 5, 10, 20, 40],
    below: 'when needed',
  },
  {
    id: 'depth',
    name: 'Screw depth',
    run: 'the edge of the board, mm',
    close: '',
    from: 0.7175,
    to: 1,
    unit: 'mm',
    tops: [60],
    below: 'never',
  },
];

/** Height of the drill's drawing, in its own units; 500 wide. */
export const DRAWING = { width: 500, height: 800 } as const;
/** Where the tip stands, and how many units one millimeter of screw takes. */
export const TIP_Y = 764;
export const UNITS_PER_MM = 2.02;
/** Thickness of the bench slat (pine) over the leg (larch) [mm]. */
export const SLAT_MM = 28;
