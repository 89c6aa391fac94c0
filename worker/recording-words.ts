/** Words that recordings carry, and refusals about them, English, in one place. */
const ms = (time_s: number): string => `${Math.max(1, Math.round(time_s * 1000))} ms`;

export const RECORDING_WORDS = {
  byHand: 'by hand, in the page',
  fromFile: 'a scenario, opened in the page',
  title: (drill: string, byHand: boolean) => `${drill}, ${byHand ? 'run by hand' : 'a scenario on the bench'}`,
  notJudged: 'not judged',
  notHashed: 'not hashed: the page was not fetched securely',
  lostTime: (lost_s: number, gaps: readonly (readonly [number, number])[], count: number) =>
    `lost time: the machine was too slow for ${ms(lost_s)}, ${gaps.map(([at_s, each_s]) => `${ms(each_s)} at ${at_s.toFixed(3)} s`).join(', ')}${count > gaps.length ? ` and ${count - gaps.length} times more` : ''}`,
  otherBench: 'another drill or controller was put on the bench',
  branched: (at_s: string) => `the run was rewound and carried on from another moment, near ${at_s} s`,
  past: (seconds: string) => `taken from what the bench keeps of the last ${seconds} s; values are float32`,
  running: 'a recording runs already; end it first',
  noSignals: 'no signal is chosen; choose at least one',
  notASignal: (id: string) => `signal '${id}' cannot be recorded`,
  noPast: 'the bench has not run yet: there is nothing to take',

  noStore: 'This browser gives the page no file system of its own, as some do in a private window.',
  memoryFull: (size: string) => `it reached ${size}, the most that is kept in memory. Save it, then begin another one.`,
  full: 'the browser has no more room for this page. Save recordings elsewhere and delete them here, then begin another one.',
  failed: (why: string) => `it could not be written: ${why}`,
  notMade: (why: string) => `No recording can be made: ${why}`,
  noEnd: 'the drill gave no end to it in time',
  missing: (rows: number) => `${rows} rows are missing: the recorder could not keep up with the run`,
  heldHere: (name: string) => `${name} is being recorded. End the recording first.`,
  heldElsewhere: (name: string) =>
    `${name} is being recorded by another tab of this page. End the recording there first.`,
  gone: (name: string) => `${name} is not there any more: it was deleted, perhaps in another tab.`,
  noExport: (name: string, why: string) => `${name} could not be written out: ${why}`,
  notRemoved: (name: string, why: string) => `${name} could not be deleted: ${why}`,
} as const;
