/** Faults in a scenario file: what they mean in SI, and what is said about those that cannot be. */
import { describe, expect, it } from 'vitest';
import { loadScenario } from '../../src/scenario/load.ts';
import { problemText } from '../../src/scenario/source.ts';

const HEAD = `title: t
drill: bench-18
duration: 1 s
timeline:
  - { at: 0 s, trigger: 50 % }
faults:
`;

function problems(fault: string): string[] {
  const result = loadScenario(`${HEAD}  - ${fault}\n`, 'f.yaml');
  return result.ok ? [] : result.problems.map(problemText);
}

describe('faults of a scenario', () => {
  it('are read in SI with moment, condition and shape', () => {
    const text = `${HEAD}  - { fault: magnet-weak, size: 20 %, at: 100 ms, ramp: 0.2 s }
  - fault: phase-open
    leg: c
    when: { signal: motorSpeed, above: 6000 rpm, from: 0.1 s, held: 5 ms }
    intermittent: { on: 2 ms, off: 10 ms }
    for: 0.5 s
`;
    const result = loadScenario(text, 'f.yaml');
    expect(result.ok ? result.scenario.faults : result.problems).toEqual([
      {
        fault: 'magnet-weak',
        leg: undefined,
        size: 0.2,
        begin: { kind: 'at', at_s: 0.1 },
        shape: { kind: 'ramp', over_s: 0.2 },
        for_s: undefined,
      },
      {
        fault: 'phase-open',
        leg: 'c',
        size: undefined,
        begin: {
          kind: 'when',
          signal: 'motorSpeed',
          side: 'above',
          value: expect.closeTo(628.3185, 3),
          from_s: 0.1,
          held_s: 0.005,
        },
        shape: { kind: 'intermittent', on_s: 0.002, off_s: 0.01 },
        for_s: 0.5,
      },
    ]);
  });

  it.each([
    [
      '{ fault: magnet-week, at: 0 s }',
      "f.yaml:7: fault 1, fault: 'magnet-week' is not known here; nearest is 'magnet-weak'",
    ],
    [
      '{ fault: magnet-weak }',
      "f.yaml:7: fault 1: a fault begins at a moment or on a condition; name one of 'at' and 'when'",
    ],
    ['{ fault: magnet-weak, at: 2 s }', "f.yaml:7: fault 1, at: '2 s' is not before the end of the run at 1 s"],
    ['{ fault: magnet-weak, at: 0 s, size: 95 % }', "fault 1, size: '95 %' is out of range; allowed is 0 % to 90 %"],
    ['{ fault: magnet-weak, at: 0 s, size: 3 }', "fault 1, size: 3 has no unit; write it as '3 %'"],
    ['{ fault: magnet-weak, at: 0 s, leg: a }', 'fault 1, leg: magnet-weak has no leg'],
    ['{ fault: phase-open, at: 0 s }', 'fault 1: phase-open asks for a leg; allowed are a, b, c'],
    ['{ fault: phase-open, leg: a, size: 3 %, at: 0 s }', 'fault 1, size: phase-open has no size'],
    ['{ fault: phase-open, leg: a, when: { signal: link } }', "fault 1, when: name one of 'above' and 'below'"],
    ['{ fault: phase-open, leg: a, when: { signal: link, above: 3 A } }', "fault 1, when, above: '3 A' has the unit A"],
    [
      '{ fault: phase-open, leg: a, at: 0 s, ramp: 1 s, intermittent: { on: 1 ms, off: 1 ms } }',
      "fault 1: a fault has one shape; name one of 'ramp' and 'intermittent'",
    ],
  ])('refuses %s', (fault, words) => {
    expect(problems(fault).join('\n')).toContain(words);
  });
});
