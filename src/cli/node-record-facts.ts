/** What a recording says of its run, at its start and at its end. */
import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import type { DrillParams } from '../plant/params.ts';
import { PROTOCOL_VERSION } from '../protocol/limits.ts';
import type { RunEnd, RunHeader } from '../recorder/header.ts';
import type { Coupled } from '../runner/coupled.ts';
import type { Outcome } from '../runner/play.ts';
import type { Scenario } from '../scenario/scenario.ts';
import { buildHash } from './node-build.ts';

export interface RecordFacts {
  readonly file: string;
  readonly scenario: Scenario;
  /** As the reports name it. */ readonly controller: string;
  readonly drill: DrillParams;
  readonly bench: Pick<Coupled, 'hello' | 'coupling' | 'rate_Hz'>;
}

export function headerFacts({ file, scenario, controller, drill, bench }: RecordFacts): RunHeader {
  return {
    drill: scenario.drill,
    drillSha256: sha256(JSON.stringify(drill)),
    scenario: { file, title: scenario.title, sha256: sha256(readFileSync(file)) },
    controller,
    board: bench.hello.board,
    firmware: bench.hello.firmware,
    coupling: bench.coupling,
    rate_Hz: bench.rate_Hz ?? null,
    seed: scenario.seed,
    step_s: scenario.step_s,
    versions: {
      program: PROGRAM,
      build: buildHash(),
      protocol: `version ${PROTOCOL_VERSION}`,
      'Node.js': process.version,
    },
    made: new Date().toISOString().replace(/\.\d+Z$/, 'Z'),
  };
}

export function endFacts({ verdict, why, stateHash, virtual_s, counters, faults }: Outcome): RunEnd {
  return { verdict, why, stateHash, virtual_s, counters: { ...counters }, faults };
}

const PROGRAM = (() => {
  const { name, version } = JSON.parse(readFileSync(new URL('../../package.json', import.meta.url), 'utf8'));
  return `${name} ${version}`;
})();

const sha256 = (content: string | Buffer): string => createHash('sha256').update(content).digest('hex');
