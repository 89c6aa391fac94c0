/**
 * Who may import whom. A row may name only rows above it, so that a cycle between folders cannot be written down;
 * tests/architecture reads the table, walks the import lines and refuses what is not here.
 *
 * `plant` and `control` do not see each other: whatever passes between them is a frame.
 */
export const LAYERS: Readonly<Record<string, readonly string[]>> = {
  'src/units': [],
  'src/signals.ts': ['src/units'],
  'src/protocol': ['src/units'],
  'src/plant': ['src/units', 'src/signals.ts'],
  'src/sensing': ['src/units', 'src/protocol', 'src/plant'],
  'src/faults': ['src/units', 'src/signals.ts', 'src/plant'],
  'src/control': ['src/units', 'src/protocol'],
  'src/links': ['src/units', 'src/protocol'],
  'src/examine': ['src/units', 'src/signals.ts', 'src/protocol', 'src/links'],
  'src/scenario': [
    'src/units',
    'src/signals.ts',
    'src/protocol',
    'src/plant',
    'src/sensing',
    'src/faults',
    'src/control',
  ],
  'src/runner': [
    'src/units',
    'src/signals.ts',
    'src/protocol',
    'src/plant',
    'src/sensing',
    'src/faults',
    'src/control',
    'src/links',
    'src/scenario',
  ],
  'src/report': ['src/units', 'src/signals.ts', 'src/scenario', 'src/runner'],
  worker: [
    'src/units',
    'src/signals.ts',
    'src/protocol',
    'src/plant',
    'src/sensing',
    'src/control',
    'src/links',
    'src/scenario',
    'src/runner',
  ],
  components: ['src/units', 'src/signals.ts', 'src/links', 'worker'],
  'src/cli': [
    'src/units',
    'src/signals.ts',
    'src/protocol',
    'src/plant',
    'src/sensing',
    'src/control',
    'src/links',
    'src/examine',
    'src/scenario',
    'src/runner',
    'src/report',
  ],
};
