/**
 * npm run prove [-- --short] [--only TEXT] [--json OUT]: what the sensorless controller can do, one table.
 *
 * Each experiment is a job; as many processes as there are processors, two at most, work them off. --only runs the jobs whose title
 * contains a text. The exit code says whether the programs ran, not whether every limit holds: what does not hold is the finding.
 */
import { fork } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { JOBS } from './jobs.ts';
import { limitOf, type Row, short as text, type Verdict, verdictOf } from './rows.ts';

interface Answer {
  readonly job: number;
  readonly rows: readonly Row[];
  readonly took_s: number;
}

const { values } = parseArgs({
  options: {
    short: { type: 'boolean', default: false },
    only: { type: 'string', default: '' },
    json: { type: 'string' },
  },
});

if (process.send) work();
else await lead();

/** In a process of its own: runs the jobs that it is sent. */
function work(): void {
  process.on('message', (job: number) => {
    const from = performance.now();
    const rows = JOBS[job].run(values.short);
    const took_s = (performance.now() - from) / 1000;
    // Infinity and NaN do not survive JSON: they travel as text.
    process.send?.({ job, rows: rows.map((row) => ({ ...row, value: String(row.value) })), took_s });
  });
  process.on('disconnect', () => process.exit());
}

async function lead(): Promise<void> {
  const queue = JOBS.map((_, k) => k).filter((k) => JOBS[k].title.includes(values.only));
  if (queue.length === 0) {
    const titles = JOBS.map(({ title }) => title).join(', ');
    throw new RangeError(`--only is '${values.only}'; it must be part of one of: ${titles}`);
  }
  const answers: Answer[] = [];
  const from = performance.now();
  const hands = Math.min(2, availableParallelism(), queue.length);
  const rest = [...queue];
  await Promise.all(Array.from({ length: hands }, () => employ(rest, answers)));
  answers.sort((a, b) => a.job - b.job);
  const table = answers.flatMap(({ job, rows }) =>
    rows.map((row) => ({ experiment: JOBS[job].title, ...row, limit: limitOf(row), verdict: verdictOf(row) })),
  );
  const wide = Math.max(...table.map(({ name }) => name.length));
  for (const { job, rows, took_s } of answers) {
    console.log(`\n${JOBS[job].title} (${took_s.toFixed(1)} s)`);
    for (const row of rows) {
      const cells = [row.name.padEnd(wide), text(row.value).padStart(10), row.unit.padEnd(7), limitOf(row).padEnd(20)];
      console.log(`  ${cells.join(' ')} ${row.note ?? verdictOf(row)}`);
    }
  }
  const count = (verdict: Verdict) => table.filter((row) => row.verdict === verdict).length;
  const took = ((performance.now() - from) / 1000).toFixed(0);
  console.log(`\n${count('holds')} hold, ${count('does not hold')} do not, ${count('stated')} stated; ${took} s`);
  for (const row of table.filter(({ verdict }) => verdict === 'does not hold')) {
    console.log(`  does not hold: ${row.name}: ${text(row.value)} ${row.unit}, limit ${row.limit}`);
  }
  if (values.json !== undefined) writeFileSync(values.json, `${JSON.stringify(table, null, 2)}\n`);
}

/** One process that takes jobs from the list until it is empty. */
function employ(rest: number[], answers: Answer[]): Promise<void> {
  return new Promise((resolve, reject) => {
    const args = values.short ? ['--short'] : [];
    const child = fork(fileURLToPath(import.meta.url), args, { execArgv: process.execArgv });
    const next = () => {
      const job = rest.shift();
      if (job === undefined) child.disconnect();
      else {
        console.error(`${JOBS[job].title} ...`);
        child.send(job);
      }
    };
    child.on(
      'message',
      (answer: Omit<Answer, 'rows'> & { rows: readonly (Omit<Row, 'value'> & { value: string })[] }) => {
        answers.push({ ...answer, rows: answer.rows.map((row) => ({ ...row, value: Number(row.value) })) });
        next();
      },
    );
    child.on('error', reject);
    child.on('exit', (code) => (code === 0 ? resolve() : reject(new Error(`an experiment ended with code ${code}`))));
    next();
  });
}
