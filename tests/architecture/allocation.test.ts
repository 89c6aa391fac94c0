/**
 * A step makes no objects: a million steps of plant, sensors and controller leave the heap as it was, and pass through
 * it little more than the numbers that the engine boxes by itself.
 *
 * Tolerances
 *   kept     a tenth of 16 bytes, the smallest object, per step; compiled code comes and goes by up to 0.3 MB (seen).
 *   passing  a double that a function returns without being inlined is boxed for a moment, 12 to 16 bytes; a step has a
 *            handful of such returns. 128 bytes are eight of them (20 to 75 bytes seen); one array of ten numbers a step is more.
 * Measured in a process of its own: it exposes the collector, and its young space holds the whole run, so that no
 * collection hides anything.
 */
import { execFileSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { expect, it } from 'vitest';

const STEPS = 1_000_000;
const KEPT_BYTES = 0.1 * 16 * STEPS;
const PASSING_BYTES = 128 * STEPS;

it('runs a million steps of plant and controller without making objects', () => {
  const program = fileURLToPath(new URL('./million-steps.ts', import.meta.url));
  const young = ['--min-semi-space-size=256', '--max-semi-space-size=256'];
  const args = ['--expose-gc', ...young, '--import', 'tsx', program, String(STEPS)];
  const out = execFileSync(process.execPath, args, { encoding: 'utf8' });
  console.log(out.trim());
  const { plant, keeper } = JSON.parse(out);
  // The same measure must see one small object a step, or it proves nothing.
  expect(keeper.kept_bytes).toBeGreaterThan(16 * STEPS);
  expect(plant.kept_bytes, out).toBeLessThan(KEPT_BYTES);
  expect(plant.passing_bytes, out).toBeLessThan(PASSING_BYTES);
});
