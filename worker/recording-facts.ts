/** What a recording of a run by hand says of it, at its start and at its end: the same fields as one of the command line. */
import { PROTOCOL_VERSION } from '../src/protocol/limits.ts';
import type { RunEnd, RunHeader } from '../src/recorder/header.ts';
import type { MadeBench } from './make-bench.ts';
import type { Past } from './past.ts';
import { RECORDING_WORDS as WORDS } from './recording-words.ts';
import { Scene } from './scene.ts';
import { sha256 } from './sha256.ts';

declare const PROGRAM_VERSION: string;
/** Hash of the sources that decide what a run does. */
declare const PROGRAM_BUILD: string;

/** Moments of lost time that are told. */
const GAPS_TOLD = 12;

export async function headerOf(made: MadeBench, past: Past, controller: string): Promise<RunHeader> {
  const { plant, hello } = made.bench;
  const { params } = plant;
  const { seed } = made.faults;
  const byHand = !(made.faults instanceof Scene);
  const setUp = {
    drill: params.name,
    controller,
    seed,
    step_s: plant.h_s,
    hands: past.course.hands(),
    faults: made.faults.news().faults.map(({ words, state }) => ({ words, state })),
    at_s: past.now_s,
  };
  const [drillHash = WORDS.notHashed, setUpHash = WORDS.notHashed] = await Promise.all(
    [params, setUp].map((each) => sha256(JSON.stringify(each))),
  );
  return {
    drill: params.name,
    drillSha256: drillHash,
    scenario: {
      file: byHand ? WORDS.byHand : WORDS.fromFile,
      title: WORDS.title(params.title, byHand),
      sha256: setUpHash,
    },
    controller,
    board: hello.board,
    firmware: hello.firmware,
    coupling: made.coupling,
    rate_Hz: null,
    seed,
    step_s: plant.h_s,
    versions: {
      program: `phantom-spindle ${PROGRAM_VERSION}`,
      build: PROGRAM_BUILD,
      protocol: `version ${PROTOCOL_VERSION}`,
    },
    made: new Date().toISOString().replace(/\.\d+Z$/, 'Z'),
  };
}

export interface Ending {
  readonly past: Past;
  readonly from_s: number;
  /** Of which nothing is in it. */ readonly to_s: number;
  /** Why it ended other than by hand. */ readonly why: string;
}

export function endOf({ past, from_s, to_s, why }: Ending): RunEnd {
  const { made } = past.course;
  const { plant, counters, controllerLost } = made.bench;
  const gaps = past.gaps.filter(([at_s]) => at_s >= from_s && at_s <= to_s);
  const lost_s = gaps.reduce((sum, [, each_s]) => sum + each_s, 0);
  const told = [
    why,
    plant.fault,
    controllerLost,
    gaps.length > 0 ? WORDS.lostTime(lost_s, gaps.slice(0, GAPS_TOLD), gaps.length) : '',
  ];
  const verdict = plant.fault !== '' ? 'invalid' : controllerLost !== '' ? 'controller lost' : WORDS.notJudged;
  const { period_s } = past.archive;
  const inForce = made.faults
    .news()
    .faults.map(({ fault, words, state, since_s }) => ({ fault, words, state, since_s }));
  const happened = past.marks
    .between(from_s, to_s, period_s)
    .filter(({ kind }) => kind === 'fault')
    .map(({ at_s, words }) => ({ at_s, what: words }));
  return {
    verdict,
    why: told.filter((each) => each !== '').join('; '),
    stateHash: plant.hash(),
    virtual_s: past.now_s,
    counters: { ...counters, lostTime_s: lost_s },
    faults: [...happened, ...inForce],
  };
}
