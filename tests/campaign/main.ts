/**
 * npx tsx tests/campaign/main.ts [--points N] [--jobs N] [--span '1 s']: a thousand runs of one second, as a user gives
 * them. Shows the rate on all cores beside that of one core, the memory along the way, and that a campaign that is killed
 * at a random moment and resumed, or cut in eight and merged, has the bytes of one go. Ends with 1 when one of it is not so.
 *
 * Takes four times the campaign: 1000 runs of 1 s with the six-step controller are some ten minutes each on two idle cores.
 * A busy machine is slow on all cores at once, so the rate of one core is measured in the same minutes, and told with the load.
 */
import { spawn } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { availableParallelism, loadavg, tmpdir } from 'node:os';
import { join } from 'node:path';
import { performance } from 'node:perf_hooks';
import { parseArgs } from 'node:util';
import { streamFor } from '../../src/campaign/streams.ts';

/** What the rate must be of cores times the rate of one core. */
const SHARE_LEAST = 0.9;
/** Growth of the memory from a tenth of the runs to the end that still counts as flat: heaps sway as they are collected. */
const GROWTH_MOST = 1.15;
/** Runs on one core alone, before and after the whole. */
const ALONE = 20;
const PARTS = 8;

const { values } = parseArgs({
  options: {
    points: { type: 'string', default: '1000' },
    jobs: { type: 'string', default: String(availableParallelism()) },
    span: { type: 'string', default: '1 s' },
    seed: { type: 'string', default: '1' },
  },
});
const points = Number(values.points);
const cores = Number(values.jobs);
const folder = mkdtempSync(join(tmpdir(), 'campaign-'));
const at = (name: string) => join(folder, name);
const wrong: string[] = [];
const say = (text: string) => process.stdout.write(`${text}\n`);

/** Trigger, grip and moment of a press, and the noise, differ from point to point. */
function campaignText(count: number, seed: number): string {
  return `title: Presses
scenario: press.yaml
draw: random
seed: ${seed}
points: ${count}
vary:
  - { place: seed, from: 1, to: 4000000000, whole: true }
  - { place: timeline.1.trigger, from: 30 %, to: 100 % }
  - { place: timeline.2.grip, from: 0.5 N·m, to: 6 N·m }
`;
}
writeFileSync(
  at('press.yaml'),
  `title: A press against a hand
drill: bench-18
controller: hall-six-step
duration: ${values.span}
chuck: { gear: 1 }
timeline:
  - { at: 1 ms, trigger: 60 %, over: 5 ms }
  - { at: 3 ms, grip: 3 N·m }
checks:
  - { name: it turns, signal: chuckSpeed, take: largest, at least: 50 rpm }
  - { name: the current stays in its limit, signal: currentQ, take: peak, at most: 100 A }
`,
);
writeFileSync(at('all.yaml'), campaignText(points, 1));
writeFileSync(at('alone.yaml'), campaignText(ALONE, 2));

interface Look {
  readonly memory_MB: number;
  readonly written_bytes: number;
}

interface Run {
  readonly wall_s: number;
  readonly code: number | null;
  /** Resident memory of the process and size of its result file at each look. */ readonly looks: readonly Look[];
}

/** Runs the command line; `kill_s` ends it from outside after that time. */
function sim(args: readonly string[], kill_s = Number.POSITIVE_INFINITY): Promise<Run> {
  const began_ms = performance.now();
  const child = spawn(process.execPath, ['--import', 'tsx', 'src/cli/main.ts', ...args], {
    stdio: ['ignore', 'ignore', 'pipe'],
    env: { ...process.env, CI: '1' },
  });
  const looks: Look[] = [];
  const out = args[args.indexOf('--out') + 1];
  let told = '';
  child.stderr.on('data', (chunk) => {
    told += chunk;
  });
  const look = setInterval(() => {
    const status = existsSync(`/proc/${child.pid}/status`) ? readFileSync(`/proc/${child.pid}/status`, 'utf8') : '';
    const resident = /VmRSS:\s+(\d+) kB/.exec(status);
    if (resident) {
      const written_bytes = existsSync(out) ? statSync(out).size : 0;
      looks.push({ memory_MB: Number(resident[1]) / 1024, written_bytes });
    }
    if ((performance.now() - began_ms) / 1000 > kill_s) child.kill('SIGKILL');
  }, 250);
  return new Promise((done) => {
    child.once('close', (code) => {
      clearInterval(look);
      if (code !== 0 && code !== 1 && kill_s === Number.POSITIVE_INFINITY) say(told);
      done({ wall_s: (performance.now() - began_ms) / 1000, code, looks });
    });
  });
}

const campaign = (file: string, out: string, ...more: string[]) => ['campaign', at(file), '--out', at(out), ...more];
const digest = (name: string) => readFileSync(at(name), 'utf8');

/** Runs a second on one core, from the time of the runs themselves: starting the program is not in it. */
async function alone(round: number): Promise<number> {
  await sim(campaign('alone.yaml', `alone-${round}.jsonl`, '--jobs', '1', '--fresh'));
  const lines = digest(`alone-${round}.times.jsonl`).trimEnd().split('\n');
  // The first run of a worker compiles.
  const walls_s = lines.slice(1).map((line) => JSON.parse(line).wall_s as number);
  return walls_s.length / walls_s.reduce((sum, each) => sum + each, 0);
}

function must(what: string, holds: boolean): void {
  say(`${holds ? 'holds' : 'DOES NOT HOLD'}: ${what}`);
  if (!holds) wrong.push(what);
}

say(`${points} runs of ${values.span} on ${cores} cores; load before ${loadavg()[0].toFixed(2)}`);
const before = await alone(1);
const whole = await sim(campaign('all.yaml', 'whole.jsonl', '--jobs', String(cores)));
const loaded = loadavg()[0];
const after = await alone(2);
const single = (before + after) / 2;
const rate = points / whole.wall_s;
say(
  `one core: ${before.toFixed(3)} runs a second before, ${after.toFixed(3)} after; all: ${rate.toFixed(3)}; load at the end ${loaded.toFixed(2)}`,
);
const share = rate / (cores * single);
must(
  `the rate is ${share.toFixed(3)} of cores times that of one core; asked for is ${SHARE_LEAST}`,
  share >= SHARE_LEAST,
);
/** Mean memory while the result file grew from one share of its end to another. */
function memory_MB(from: number, to: number): number {
  const end_bytes = statSync(at('whole.jsonl')).size;
  const part = whole.looks.filter(({ written_bytes: now }) => now >= from * end_bytes && now <= to * end_bytes);
  return part.reduce((sum, look) => sum + look.memory_MB, 0) / part.length;
}
const [early, late] = [memory_MB(0.1, 0.3), memory_MB(0.8, 1)];
must(
  `memory is flat: ${early.toFixed(0)} MB after a tenth of the runs, ${late.toFixed(0)} MB at the end`,
  late <= GROWTH_MOST * early,
);

const moment = streamFor(Number(values.seed), 'moment of the kill').share();
const kill_s = whole.wall_s * (0.1 + 0.8 * moment);
await sim(campaign('all.yaml', 'killed.jsonl', '--jobs', String(cores)), kill_s);
const kept = digest('killed.jsonl').split('\n').length - 2;
await sim(campaign('all.yaml', 'killed.jsonl', '--jobs', String(cores)));
must(
  `killed after ${kill_s.toFixed(1)} s with ${kept} runs on file and resumed: the bytes of one go`,
  digest('killed.jsonl') === digest('whole.jsonl'),
);

const parts: string[] = [];
for (let part = 1; part <= PARTS; part++) {
  await sim(campaign('all.yaml', `part-${part}.jsonl`, '--shard', `${part}/${PARTS}`, '--jobs', String(cores)));
  parts.push(at(`part-${part}.jsonl`));
}
await sim(['merge', ...parts, '--campaign', at('all.yaml'), '--out', at('merged.jsonl')]);
must(`cut in ${PARTS} and merged: the bytes of one go`, digest('merged.jsonl') === digest('whole.jsonl'));
if (wrong.length === 0) rmSync(folder, { recursive: true });
else say(`what was left is in ${folder}`);
process.exitCode = wrong.length === 0 ? 0 : 1;
