/** Checks of every kind make no objects while they follow a run. */
import { execFileSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { expect, it } from 'vitest';

const TICKS = 3_200_000;
/** Less than the smallest object, or one boxed number, a tick; what is left is some 5 MB of code that is not compiled yet (4 a tick seen). */
const PASSING_BYTES = 16;

it('follow a run without making objects', () => {
  const program = fileURLToPath(new URL('./check-memory-main.ts', import.meta.url));
  const young = ['--min-semi-space-size=512', '--max-semi-space-size=512'];
  const args = ['--expose-gc', ...young, '--import', 'tsx', program, String(TICKS)];
  const { perCheck_bytes, keeper_bytes } = JSON.parse(execFileSync(process.execPath, args, { encoding: 'utf8' }));
  // The same measure must see one small object a tick, or it proves nothing.
  expect(keeper_bytes).toBeGreaterThan(16);
  for (const [take, bytes] of Object.entries(perCheck_bytes)) expect(bytes, take).toBeLessThan(PASSING_BYTES);
});
