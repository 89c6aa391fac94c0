/** Bytes a tick that each kind of check makes, as JSON. Started with an open collector and young space for the whole run. */
import { Check } from '../../src/scenario/check.ts';
import { kindOf, TAKES } from '../../src/scenario/checks/index.ts';
import { SIGNAL_INDEX, SIGNALS } from '../../src/signals.ts';

const TICK_S = 50e-6;
const ticks = Number(process.argv[2]);
const collect = (globalThis as unknown as { gc: () => void }).gc;
const sample = new Float64Array(SIGNALS.length);
const twin = new Float64Array(SIGNALS.length);

function move(k: number): void {
  sample[SIGNAL_INDEX.time] = (k + 1) * TICK_S;
  sample[SIGNAL_INDEX.currentA] = ((k * 7919) % 1000) / 100;
  sample[SIGNAL_INDEX.rotorAngle] = (k * 0.1) % 6.28;
  twin.set(sample);
}

function bytesOf(tick: (k: number) => void): number {
  // The engine runs code that boxes numbers until it has compiled it: what counts is what comes after.
  for (let k = 0; k < ticks / 2; k++) tick(k);
  collect();
  const before = process.memoryUsage().heapUsed;
  for (let k = ticks / 2; k < ticks; k++) tick(k);
  return (process.memoryUsage().heapUsed - before) / (0.5 * ticks);
}

const idle = bytesOf(move);
const perCheck_bytes: Record<string, number> = {};
for (const take of TAKES) {
  const from = { name: take, signal: 'currentA', take, from_s: 0, to_s: ticks * TICK_S, atMost: 1 } as const;
  const against = kindOf(take).againstTwin && take !== 'deviation' ? ({ against: 'twin' } as const) : {};
  const check = new Check({ ...from, ...against, above: 2, below: 8, through: 5, play: 1, order: 2 }, TICK_S, () => 0);
  const bytes = bytesOf((k) => {
    move(k);
    check.see(sample, twin);
  });
  perCheck_bytes[take] = bytes - idle;
}

const kept: object[] = new Array(ticks);
const keeper_bytes = bytesOf((k) => {
  move(k);
  kept[k] = { k };
});
process.stdout.write(JSON.stringify({ idle, perCheck_bytes, keeper_bytes: keeper_bytes - idle }));
