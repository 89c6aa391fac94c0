/** The colors of the page as the pens need them, read from the style sheet so that they are written down once. */
const NAMES = [
  'paper',
  'ink',
  'ink2',
  'edge',
  'rule',
  'a',
  'b',
  'c',
  'e',
  'i',
  'envelope',
  'tape',
  'on-tape',
  'fail',
  'pine',
  'pine-grain',
  'larch',
  'larch-grain',
  'on-wood',
] as const;
export type ColorName = (typeof NAMES)[number];
export type Palette = Readonly<Record<ColorName, string>>;

/** Reads the palette in force: day or night. Each color is #rrggbb. */
export function readPalette(): Palette {
  const style = getComputedStyle(document.documentElement);
  return Object.fromEntries(NAMES.map((name) => [name, style.getPropertyValue(`--${name}`).trim()])) as Palette;
}
