/**
 * npm run endure [-- --seconds 60 --hour 1 --starts 100 --json OUT --card]: the built page in a real browser for long. Twelve traces
 * live while the drill works, an hour of the drill as fast as it goes, a hundred starts. Exit code 1 when a limit does not hold. Run
 * it on a machine that does nothing else: time is lost where others work.
 */
import { writeFileSync } from 'node:fs';
import { cpus } from 'node:os';
import { parseArgs } from 'node:util';
import { OpenPage } from '../support/page.ts';
import { Heaps, totalOf } from './heap.ts';
import { runHour } from './hour.ts';
import { hourRows, liveRows, type Row, restartRows } from './limits.ts';
import { runLive } from './live.ts';
import { runRestarts } from './restarts.ts';

/** Weighings of a whole run, so that a slope has a width; one each 5 min of an hour. */
const WEIGHINGS = 12;

const { values } = parseArgs({
  options: {
    seconds: { type: 'string', default: '60' },
    hour: { type: 'string', default: '1' },
    starts: { type: 'string', default: '100' },
    json: { type: 'string' },
    card: { type: 'boolean', default: false },
  },
});

function positive(name: string, text: string, least: number): number {
  const value = Number(text);
  if (!(value >= least)) throw new RangeError(`--${name} is '${text}'; allowed is a number from ${least} on`);
  return value;
}

const rows: Row[] = [];
function tell(title: string, more: readonly Row[]): void {
  console.log(`\n${title}`);
  for (const { what, figure, limit, because, holds } of more) {
    const verdict = holds === undefined ? '' : holds ? 'holds' : 'DOES NOT HOLD';
    const against = limit === '' ? '' : `limit ${limit}: ${because}`;
    console.log(`  ${what.padEnd(48)} ${figure.padEnd(40)} ${verdict.padEnd(14)} ${against}`.trimEnd());
  }
  rows.push(...more);
}

async function main(): Promise<void> {
  const seconds = positive('seconds', values.seconds, 1);
  const hours = positive('hour', values.hour, 0.005);
  const starts = positive('starts', values.starts, 3);
  const each_s = Math.max(0.5, Math.round((hours * 3600) / WEIGHINGS / 0.5) * 0.5);
  // An imitated card takes the processors that the drill needs: then lost time says little.
  const card = values.card ? 'with a card that is imitated in software' : 'without a graphics card';
  console.log(
    `Endurance on ${cpus().length} x ${cpus()[0]?.model ?? 'unknown processor'}, Node ${process.version}, ${card}`,
  );
  const open = await OpenPage.open({ noGl: !values.card });
  try {
    const heaps = await Heaps.of(open.page);
    const live = await runLive(open, seconds);
    tell(`Twelve traces, live for ${seconds} s`, liveRows(live));
    const hour = await runHour(open, heaps, hours, each_s, ({ time_s, page, worker }) => {
      const MB = (bytes: number) => (bytes / 1e6).toFixed(2).padStart(8);
      console.log(
        `  at ${(time_s / 60).toFixed(1).padStart(5)} min: page${MB(totalOf(page))} MB, worker${MB(totalOf(worker))} MB`,
      );
    });
    tell(`Memory over ${hours} h of the drill`, hourRows(hour));
    const restarts = await runRestarts(open, heaps, starts);
    tell(`${starts} starts and stops of the worker`, restartRows(restarts));
    if (open.problems.length > 0) console.log(`\nthe page raised: ${open.problems.join('; ')}`);
    if (values.json) writeFileSync(values.json, `${JSON.stringify({ live, hour, restarts, rows }, null, 2)}\n`);
    const failed = rows.filter(({ holds }) => holds === false).length + open.problems.length;
    // Of a whole run a growth must be shown to stay below its limit; of a short one it may remain open.
    const unclear =
      hours >= 1 && starts >= 100 ? rows.filter(({ limit, holds }) => limit !== '' && holds === undefined).length : 0;
    process.exitCode = failed + unclear > 0 ? 1 : 0;
    console.log(
      `\n${failed === 0 ? 'all limits that could be judged hold' : `${failed} do not hold`}${unclear > 0 ? `, ${unclear} not shown` : ''}`,
    );
  } finally {
    await open.close();
  }
}

main().catch((error: unknown) => {
  console.error(error instanceof Error ? error.message : error);
  process.exitCode = 2;
});
