/** Who imports whom, against the table in src/layers.ts. */
import { describe, expect, it } from 'vitest';
import { LAYERS } from '../../src/layers.ts';
import { importsOf, read, sources } from './source.ts';

const ROWS = Object.keys(LAYERS);
const FILES = sources('src', 'worker', 'components').filter((path) => path !== 'src/layers.ts');
/** Rows that draw on nothing but this repository: they must run anywhere, for ever. */
const WITHOUT_PACKAGES = ['src/units', 'src/signals.ts', 'src/plant', 'src/sensing', 'src/control'];
/** What page and worker share at run time: tables of the samples, and the fragment of a set-up, whose limits are those of the hands. */
const SHARED = ['worker/block.ts', 'worker/set-up-link.ts'];

const rowOf = (path: string): string | undefined =>
  ROWS.filter((row) => path === row || path.startsWith(`${row}/`)).sort((a, b) => b.length - a.length)[0];

/** What is wrong with the imports of a file, in words; empty when nothing is. */
function complaints(path: string, text: string): string[] {
  const row = rowOf(path);
  if (row === undefined) return [`${path}: no row of src/layers.ts covers it`];
  const wrong: string[] = [];
  for (const { from, path: target, typesOnly } of importsOf(path, text)) {
    const say = (why: string) => wrong.push(`${path}: imports '${from}'; ${why}`);
    if (from.startsWith('node:')) {
      if (!mayUseNode(path)) say('node: belongs to src/cli, node-*.ts and src/protocol/emit/main.ts');
    } else if (target === '') {
      if (WITHOUT_PACKAGES.includes(row)) say(`${row} uses no package`);
    } else {
      const to = rowOf(target);
      if (!/\.(ts|json|css)$/.test(target)) say('a relative import names the file with its ending');
      if (to === undefined) say('no row of src/layers.ts covers it');
      else if (to !== row && !LAYERS[row].includes(to)) say(`${row} may import ${LAYERS[row].join(', ') || 'nothing'}`);
      if (row === 'components' && to === 'worker' && !SHARED.includes(target)) {
        if (target !== 'worker/api.ts' || !typesOnly)
          say(`only types of worker/api.ts and what ${SHARED.join(', ')} hold`);
      }
    }
  }
  return wrong;
}

const mayUseNode = (path: string): boolean =>
  path.startsWith('src/cli/') || path === 'src/protocol/emit/main.ts' || /^src\/.*\/node-[^/]*\.ts$/.test(path);

describe('layers', () => {
  it('name only rows above them, so no cycle can be written down', () => {
    ROWS.forEach((row, k) => {
      for (const other of LAYERS[row]) expect(ROWS.slice(0, k), `${row} names ${other}`).toContain(other);
    });
  });

  it('hold for every import line', () => {
    expect(FILES.length).toBeGreaterThan(30);
    expect(FILES.flatMap((path) => complaints(path, read(path)))).toEqual([]);
  });

  it('let the page read tables of the worker that themselves see no plant', () => {
    const seen = importsOf(SHARED[0], read(SHARED[0])).map(({ path }) => rowOf(path));
    for (const row of seen) expect(['src/units', 'src/signals.ts', 'worker']).toContain(row);
  });

  const refused = [
    ['src/plant/a.ts', "import { x } from '../control/index.ts';"],
    ['src/plant/a.ts', "import type { X } from '../protocol/frames.ts';"],
    ['src/control/a.ts', "export { Plant } from '../plant/plant.ts';"],
    ['src/control/a.ts', "export * from '../sensing/sensors.ts';"],
    ['src/control/a.ts', "const late = await import('../plant/plant.ts');"],
    ['src/control/a.ts', "import '../plant/plant.ts';"],
    ['src/control/a.ts', "import {\n  type A,\n  b,\n} from '../plant/plant.ts';"],
    ['src/control/a.ts', "let p: import('../plant/plant.ts').Plant;"],
    ['src/control/a.ts', "import { x } from './b';"],
    ['src/units/a.ts', "import yaml from 'yaml';"],
    ['src/runner/a.ts', "import { readFileSync } from 'node:fs';"],
    ['src/links/tcp.ts', "import { connect } from 'node:net';"],
    ['components/a.ts', "import { Bench } from '../src/runner/bench.ts';"],
    ['components/a.ts', "import { x } from '../worker/api.ts';"],
    ['components/a.ts', "import type { X } from '../worker/recorder.ts';"],
    ['src/elsewhere/a.ts', 'export const a = 1;'],
  ];
  for (const [path, text] of refused) {
    it(`refuse ${path} with ${text.replaceAll('\n', ' ')}`, () => {
      expect(complaints(path, text)).toHaveLength(1);
    });
  }

  const allowed = [
    ['src/control/a.ts', "// import { x } from '../plant/plant.ts';\nimport { y } from '../units/checks.ts';"],
    ['src/control/a.ts', "/* from '../plant/plant.ts' */ export const text = 'nothing // imported';"],
    ['src/links/node-tcp.ts', "import { connect } from 'node:net';"],
    ['components/a.ts', "import type { X } from '../worker/api.ts';"],
  ];
  for (const [path, text] of allowed) {
    it(`allow ${path} with ${text.replaceAll('\n', ' ')}`, () => {
      expect(complaints(path, text)).toEqual([]);
    });
  }
});
