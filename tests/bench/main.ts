/**
 * npm run bench [-- --json OUT]: how long a step takes, how many times real time that is, and what C makes of the same
 * kernel: winding, legs, link and mechanics. A machine that is busy is slow, so only a budget that no healthy build comes near fails it.
 */
import { writeFileSync } from 'node:fs';
import { parseArgs } from 'node:util';
import { runTwin } from './c-twin.ts';
import { kernelWork } from './kernel-work.ts';
import { linkCost } from './link-work.ts';
import { measure, type Timing } from './measure.ts';
import { pageWork } from './page-work.ts';
import { plantWork } from './plant-work.ts';
import { sineWork } from './sine-work.ts';

/** Four times slower than real time: no machine that is fit to work at takes that long. */
const BUDGET_NS = 4000;
const WARM_UP = 8;
const BATCHES = 20;
const STEP_NS = 1000;
/** Share of a bare echo below which the protocol itself is what slows a link down. */
const LINK_SHARE = 0.8;
/** TypeScript and C do the same operations in the same order; a compiler may still reorder a sum. */
const SAME = 1e-9;

interface Row {
  readonly name: string;
  /** Mean time of a step, or rate. */ readonly value: number;
  readonly unit: 'ns/step' | '1/s';
  /** What `ratioIs` says. */ readonly ratio: number | null;
  readonly ratioIs: string;
  readonly min: number;
  readonly deviation: number;
}

const rows: Row[] = [];

function report(name: string, timing: Timing, ratio: number | null, ratioIs: string): void {
  const { min_ns, mean_ns, deviation_ns } = timing;
  rows.push({ name, value: mean_ns, unit: 'ns/step', ratio, ratioIs, min: min_ns, deviation: deviation_ns });
  const times = [min_ns, mean_ns, deviation_ns].map((ns) => ns.toFixed(1).padStart(8)).join('');
  console.log(`${name.padEnd(34)}${times}   ${ratio === null ? '' : `${ratio.toFixed(2)} ${ratioIs}`}`);
}

const { values } = parseArgs({ options: { json: { type: 'string' } } });
console.log(`Time of a 1 us step in ns: shortest, mean and deviation of ${BATCHES} batches (Node ${process.version})`);

const { alone, controlled } = plantWork();
const realTime = (timing: Timing) => STEP_NS / timing.mean_ns;
const plant = measure(alone, WARM_UP, BATCHES);
report('plant alone', plant, realTime(plant), 'times real time');
const sine = measure(sineWork(), WARM_UP, BATCHES);
report('plant alone, sine on three legs', sine, realTime(sine), 'times real time');
const both = measure(controlled, WARM_UP, BATCHES);
report('plant with built-in controller', both, realTime(both), 'times real time');
const { bench, page } = pageWork();
const onPage = measure(page, WARM_UP, BATCHES);
report('the same in the worker of the page', onPage, realTime(onPage), 'times real time');
const beside = measure(bench, WARM_UP, BATCHES);
report('  of which the bench', beside, realTime(beside), 'times real time');

const kernel = kernelWork();
const script = measure(kernel, WARM_UP, BATCHES);
const twin = runTwin(kernel.begun, BATCHES);
// The shortest batches, because a neighbor on the machine only ever adds.
const perC = twin ? script.min_ns / twin.timing.min_ns : null;
report('kernel, TypeScript', script, perC, 'times the time of C');
if (twin) {
  report('kernel, C -O3', twin.timing, 1, 'times the time of C');
  console.log(`C by ${twin.compiler}`);
} else {
  console.log('no C compiler here (cc, gcc, clang): no comparison with C');
}

const link = await linkCost();
const shares = `${link.ratio.toFixed(2)} of a bare echo of equal size (${link.echoes_Hz.toFixed(0)} a second)`;
console.log(
  `${'lock-step exchanges over TCP'.padEnd(34)}${link.exchanges_Hz.toFixed(0).padStart(8)} a second   ${shares}`,
);
rows.push({
  name: 'lock-step exchanges over TCP',
  value: link.exchanges_Hz,
  unit: '1/s',
  ratio: link.ratio,
  ratioIs: 'of a bare echo of equal size through the same socket',
  min: link.exchanges_Hz,
  deviation: 0,
});
if (!(link.ratio >= LINK_SHARE)) {
  console.error(`the link reaches ${link.ratio.toFixed(2)} of a bare echo; the budget is ${LINK_SHARE}`);
  process.exitCode = 1;
}

if (values.json !== undefined) writeFileSync(values.json, `${JSON.stringify(rows, null, 2)}\n`);

kernel.end().forEach((ours, k) => {
  const theirs = twin?.end[k] ?? ours;
  if (Number.isFinite(ours) && !(Math.abs(ours - theirs) <= SAME * Math.max(Math.abs(ours), 1e-9))) {
    console.error(`slot ${k}: C ended at ${theirs}, TypeScript at ${ours}: the equations are not the same`);
    process.exitCode = 1;
  }
});
if (both.min_ns > BUDGET_NS) {
  console.error(`plant with controller took ${both.min_ns.toFixed(0)} ns a step; the budget is ${BUDGET_NS} ns`);
  process.exitCode = 1;
}
